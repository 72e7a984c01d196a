package video

import (
	"crypto/sha256"
	"encoding/hex"
	"io"
	"os"
)

// Fingerprint returns the SHA-256 of the whole file in hexadecimal, by which a
// lesson recognizes its clip wherever it lies. The error is a *FileError.
func Fingerprint(path string) (string, error) {
	if _, err := statFile(path); err != nil {
		return "", err
	}
	f, err := os.Open(path)
	if err != nil {
		return "", fileError(path, ErrUnreadable, "can't be opened (%v). Check your right to read the file.", cause(err))
	}
	defer f.Close()
	h := sha256.New()
	if _, err := io.Copy(h, f); err != nil {
		return "", fileError(path, ErrUnreadable, "can't be read to its end (%v). Check the drive it is on.", cause(err))
	}
	return hex.EncodeToString(h.Sum(nil)), nil
}
