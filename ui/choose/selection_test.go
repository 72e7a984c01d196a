package choose

import (
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// five is a folder and four files.
var five = []Entry{{Name: "f", Folder: true}, {Name: "a"}, {Name: "b"}, {Name: "c"}, {Name: "d"}}

func TestSelection(t *testing.T) {
	s := newSelection(true)
	assert.Empty(t, s.chosen())
	s.only(2)
	assert.Equal(t, []int{2}, s.chosen())
	s.toggle(4, five)
	assert.Equal(t, []int{2, 4}, s.chosen())
	s.toggle(2, five)
	assert.Equal(t, []int{4}, s.chosen())
	s.only(3)
	s.extend(1, five)
	assert.Equal(t, []int{1, 2, 3}, s.chosen())
	s.extend(0, five)
	assert.Equal(t, []int{1, 2, 3}, s.chosen(), "a folder is not part of a range")
	s.extend(4, five)
	assert.Equal(t, []int{3, 4}, s.chosen(), "the range turns about where it began")
	s.only(0)
	assert.Equal(t, []int{0}, s.chosen())
	s.toggle(1, five)
	assert.Equal(t, []int{1}, s.chosen(), "a folder gives way to files")
	s.toggle(0, five)
	assert.Equal(t, []int{0}, s.chosen(), "and files to a folder")
	s.all(five)
	assert.Equal(t, []int{1, 2, 3, 4}, s.chosen())
	s.only(-1)
	assert.Empty(t, s.chosen())
	s.extend(2, five)
	assert.Equal(t, []int{2}, s.chosen())
}

func TestSelectionOfOne(t *testing.T) {
	s := newSelection(false)
	s.only(1)
	s.toggle(2, five)
	assert.Equal(t, []int{2}, s.chosen())
	s.extend(4, five)
	assert.Equal(t, []int{4}, s.chosen())
	s.all(five)
	assert.Equal(t, []int{4}, s.chosen())
}

func TestStep(t *testing.T) {
	s := newSelection(true)
	assert.Equal(t, 0, s.step(+1, 5))
	assert.Equal(t, 4, s.step(-1, 5))
	assert.Equal(t, 4, s.step(+20, 5))
	s.only(3)
	assert.Equal(t, 4, s.step(+1, 5))
	assert.Equal(t, 4, s.step(+9, 5))
	assert.Equal(t, 0, s.step(-9, 5))
}

// TestSelectionHoldsTogether does what a restless hand does and checks what always has to be so.
func TestSelectionHoldsTogether(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	list := make([]Entry, 12)
	for i := range list {
		list[i].Folder = i < 4
	}
	for _, multiple := range []bool{false, true} {
		s := newSelection(multiple)
		for step := range 20000 {
			i := rng.IntN(len(list))
			switch rng.IntN(5) {
			case 0:
				s.only(i)
			case 1:
				s.toggle(i, list)
			case 2:
				s.extend(i, list)
			case 3:
				s.all(list)
			case 4:
				s.only(s.step(rng.IntN(9)-4, len(list)))
			}
			chosen := s.chosen()
			folders := 0
			for _, k := range chosen {
				require.True(t, s.on[k])
				if list[k].Folder {
					folders++
				}
			}
			require.LessOrEqual(t, folders, 1, "step %d", step)
			require.True(t, folders == 0 || len(chosen) == 1, "a folder is chosen by itself only")
			require.True(t, multiple || len(chosen) <= 1)
			require.True(t, s.cursor >= -1 && s.cursor < len(list))
		}
	}
}
