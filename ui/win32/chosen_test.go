package win32

import (
	"testing"
	"unicode/utf16"

	"github.com/stretchr/testify/require"
)

// The cases are those of Microsoft's description of lpstrFile.
func TestChosen(t *testing.T) {
	for answer, want := range map[string][]string{
		"\x00\x00":                     nil,
		"C:\\Übung\\front.mp4\x00\x00": {`C:\Übung\front.mp4`},
		"C:\\Übung\x00front.mp4\x00side.mp4\x00\x00left over": {`C:\Übung\front.mp4`, `C:\Übung\side.mp4`},
		"D:\\\x00front.mp4\x00side.mp4\x00\x00":               {`D:\front.mp4`, `D:\side.mp4`}, // the root of a drive
		"C:\\full to the brim.mp4":                            {`C:\full to the brim.mp4`},
	} {
		require.Equal(t, want, chosen(utf16.Encode([]rune(answer))), "%q", answer)
	}
}
