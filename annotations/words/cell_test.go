package words

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

func TestCell(t *testing.T) {
	for text, want := range map[string]string{
		"7-iron": "7-iron", "Mara Lindqvist": "Mara Lindqvist", "": "", "a = b + c; d": "a = b + c; d", "low - high": "low - high",
		"=1+1": "'=1+1", "+1": "'+1", "-1": "'-1", "@SUM(A1)": "'@SUM(A1)", "＝1": "'＝1", "  =1": "  '=1", "\t=1": "\t'=1", "\"=1": "\"'=1",
		"x;=1;-2": "x;'=1;'-2", "x\n=1": "x\n'=1", "x\r\n@a": "x\r\n'@a", "x\t+1": "x\t'+1",
	} {
		assert.Equal(t, want, Cell(text), "%q", text)
	}
}
