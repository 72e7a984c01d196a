package series

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"turngauge/annotations"
)

func TestToCompare(t *testing.T) {
	swing := func(id, club string, marks int) annotations.Swing {
		return annotations.Swing{ID: id, Club: annotations.Club{Name: club}, Marks: make([]annotations.Mark, marks)}
	}
	l := &annotations.Lesson{Swings: []annotations.Swing{swing("empty", "7-iron", 0), swing("long", "driver", 2), swing("short", "8-iron", 1), swing("last", "7-iron", 3)}}
	for club, want := range map[string]string{"7-iron": "short", "driver": "long", "putter": "long"} {
		id, ok := ToCompare(l, annotations.Club{Name: club})
		assert.True(t, ok)
		assert.Equal(t, want, id, club)
	}
	l.Swings = l.Swings[:1]
	_, ok := ToCompare(l, annotations.Club{Name: "7-iron"})
	assert.False(t, ok, "no swing is marked")
}
