package draw_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
)

const tip = "Solve the swing" // of the button Measure

func TestATipComesOnceAControlIsPointedAtForAWhile(t *testing.T) {
	_, d := newPanel(t)
	d.Hover("Measure")
	d.Wait(500 * time.Millisecond)
	assert.False(t, d.Shows(tip), "who passes over it isn't held up")
	d.Wait(150 * time.Millisecond)
	assert.True(t, d.Shows(tip))
	d.Hover("Lock")
	assert.False(t, d.Shows(tip))
}

func TestATipIsGoneOncePressedUntilPointedAtAnew(t *testing.T) {
	p, d := newPanel(t)
	d.Hover("Measure")
	d.Wait(time.Second)
	assert.True(t, d.Shows(tip))
	d.Click("Measure")
	assert.Equal(t, 1, p.clicks)
	assert.False(t, d.Shows(tip))
	for range 5 { // whoever rests on it has read what it does
		d.Wait(2 * time.Second)
		assert.False(t, d.Shows(tip))
	}
	d.Hover("Lock")
	d.Hover("Measure")
	d.Wait(time.Second)
	assert.True(t, d.Shows(tip))
}
