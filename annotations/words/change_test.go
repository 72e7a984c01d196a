package words

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"turngauge/geometry"
)

func TestChangeWord(t *testing.T) {
	target := &geometry.Range{Low: 35, High: 55}
	word := func(before, now, sigma float64, target *geometry.Range) string {
		c := geometry.Changed(before, sigma, now, 0, 0)
		return Notation{}.ChangeWord(&c, before, now, target, "the target range", 0)
	}
	assert.Equal(t, "can't tell", word(20, 26, 10, target))
	assert.Equal(t, "likely more", word(20, 30, 10, nil))
	assert.Equal(t, "very likely more: closer to the target range", word(20, 34, 10, target))
	assert.Equal(t, "virtually certainly more: farther from the target range", word(50, 60, 4, target))
	assert.Equal(t, "very likely less", word(54, 36, 10, target))
	c := geometry.Changed(54, 10, 36, 0, 0)
	assert.Equal(t, "very likely: closer to the target range", ChangeSure(&c, 54, 36, &geometry.Range{Low: 30, High: 40}, "the target range", 0))
	assert.Equal(t, "can't tell", ChangeSure(&c, 54, 36, &geometry.Range{Low: 30, High: 40}, "the target range", 0.99))
	assert.Equal(t, "very likely", ChangeInBrief(&c, 0))
	assert.Equal(t, "can't tell", ChangeInBrief(&c, 0.99))
}

// The scale is table 1 of Mastrandrea et al. 2010, Guidance note for lead authors
// of the IPCC fifth assessment report on consistent treatment of uncertainties:
// likely 66-100 %, very likely 90-100 %, virtually certain 99-100 %.
func TestLikelihoodIsTheCalibratedScale(t *testing.T) {
	for p, want := range map[float64]string{0.5: "", 0.659: "", 0.66: "likely", 0.899: "likely", 0.9: "very likely", 0.989: "very likely", 0.99: "virtually certain", 1: "virtually certain"} {
		assert.Equal(t, want, Likelihood(p), p)
	}
	j := geometry.Judge(50, 5, geometry.Range{Low: 40, High: 60}, 0)
	assert.Equal(t, "very likely within", Verdict(&j))
	assert.Equal(t, "2 % below, 95 % within, 2 % above", Chances(&j))
	j = geometry.Judge(39, 7, geometry.Range{Low: 40, High: 60}, 0)
	assert.Equal(t, "virtually certainly not above", Verdict(&j))
	j = geometry.Judge(50, 30, geometry.Range{Low: 40, High: 60}, 0)
	assert.Equal(t, "can't tell", Verdict(&j))
	assert.Empty(t, Verdict(&geometry.Judgement{}))
}
