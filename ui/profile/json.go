package profile

import (
	"encoding/json"
	"path/filepath"

	"turngauge/annotations"
	"turngauge/annotations/place"
)

// ReadJSON reads a small file of the program's own.
func ReadJSON(path string, into any) error {
	b, err := place.Read(path, annotations.MaxBytes)
	if err != nil {
		return err
	}
	return json.Unmarshal(b, into)
}

// WriteJSON replaces a small file of the program's own as a whole.
func WriteJSON(path string, v any) error {
	b, err := json.MarshalIndent(v, "", "  ")
	if err != nil {
		return err
	}
	if err := place.Folder(filepath.Dir(path)); err != nil {
		return err
	}
	return place.Bytes(path, append(b, '\n'))
}
