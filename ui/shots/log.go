package shots

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"turngauge/annotations"
	"turngauge/annotations/shots"
	"turngauge/ui/kit"
)

// entryReadings are what is logged by hand: what the eye or one look at a
// screen gives.
var entryReadings = [...]shots.Reading{
	shots.ClubPath, shots.FaceToPath, shots.StrikeAcross, shots.StrikeUp, shots.Carry,
}

// standardBlocks are offered whether they have shots or not.
var standardBlocks = []string{shots.Before, shots.After}

// shotBlocks lists the blocks: before and after, then those of the lesson.
func (s *Room) shotBlocks() []string {
	blocks := slices.Clone(standardBlocks)
	for _, b := range s.host.Session().Bench.Lesson().Shots.Blocks() {
		if !slices.Contains(blocks, b) {
			blocks = append(blocks, b)
		}
	}
	return blocks
}

// shotBlock is the block on show.
func (s *Room) shotBlock() string {
	blocks := s.shotBlocks()
	return blocks[min(s.block, len(blocks)-1)]
}

// shotsOf returns the shots of a block.
func (s *Room) shotsOf(block string) shots.List {
	var out shots.List
	for _, s := range s.host.Session().Bench.Lesson().Shots {
		if s.Block == block {
			out = append(out, s)
		}
	}
	return out
}

// logShot adds what stands in the fields as one shot.
func (s *Room) logShot(block string) {
	s.entryError = ""
	values := map[shots.Reading]float64{}
	for i, r := range entryReadings {
		text := strings.ReplaceAll(strings.TrimSpace(s.entry[i].Text()), ",", ".")
		if text == "" {
			continue
		}
		v, err := strconv.ParseFloat(strings.ReplaceAll(text, "−", "-"), 64)
		info, _ := shots.InfoOf(r)
		u := s.unit(info)
		v = u.Kept(v)
		if err != nil || v > info.Most || v < -info.Most {
			unit := u.Name
			if unit == "°" {
				unit = "degrees"
			}
			s.entryError = fmt.Sprintf("“%s” can't be the %s: write a number of %s, %.3g at most either way.", s.entry[i].Text(), r, unit, info.Most/u.Per)
			return
		}
		values[r] = v
	}
	if len(values) == 0 {
		s.entryError = "Write at least one reading."
		return
	}
	shot := shots.Shot{ID: annotations.NewID(), Block: block, Club: s.host.Session().Bench.Swing().Club.Name, Values: values}
	if kit.Edit(s.host, annotations.AddShots{Shots: shots.List{shot}}) {
		for i := range s.entry {
			s.entry[i].SetText("")
		}
	}
}
