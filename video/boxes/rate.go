package boxes

// Where the filmed rate of a clip was read.
const (
	Android = "com.android.capture.fps"
	Edits   = "edit list"
	Player  = "slow motion left to the phone's player"
)

// No camera films a golfer outside these rates, frames a second.
const LeastRate, MostRate = 1, 20000

// FilmedRate decides at how many frames a second of life a clip was filmed, and
// where that was read; 0 where the file does not say. playback is the usual rate of
// the file's own times, capture what the file's metadata names, 0 where nothing.
//
// Android's capture rate says, beside the playback rate, how much slower than life a
// clip plays (MediaFormat.KEY_CAPTURE_RATE), but where the phone leaves slowing down
// to its player: then the frames have life's times, and some may have been left out.
func FilmedRate(playback, capture float64, marks SpeedMarks) (fps float64, from string) {
	switch {
	case !(playback > 0):
		return 0, ""
	case marks.Edits:
		return playback, Edits
	case marks.Player:
		return playback, Player
	case capture >= LeastRate && capture <= MostRate:
		return capture, Android
	}
	return 0, ""
}
