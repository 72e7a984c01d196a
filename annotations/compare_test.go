package annotations

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

func TestSwingToCompare(t *testing.T) {
	swing := func(id, club string, marks int) Swing {
		return Swing{ID: id, Club: Club{Name: club}, Marks: make([]Mark, marks)}
	}
	l := &Lesson{Swings: []Swing{swing("empty", "7-iron", 0), swing("long", "driver", 2), swing("short", "8-iron", 1), swing("last", "7-iron", 3)}}
	for club, want := range map[string]string{"7-iron": "short", "driver": "long", "putter": "long"} {
		id, ok := l.SwingToCompare(Club{Name: club})
		assert.True(t, ok)
		assert.Equal(t, want, id, club)
	}
	l.Swings = l.Swings[:1]
	_, ok := l.SwingToCompare(Club{Name: "7-iron"})
	assert.False(t, ok, "no swing is marked")
}
