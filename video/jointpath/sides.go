package jointpath

// Swapped returns for each of a row of pictures whether the sides of a body were taken for
// each other in it: the likeliest row of answers, by Viterbi's algorithm (Forney 1973,
// "The Viterbi algorithm", Proc. IEEE 61). own is what a picture alone says, as the
// logarithm of how many times likelier swapped sides are than true ones; change is how
// many times likelier it is that a picture and the one before differ in their answers
// than that they agree, as a logarithm too. The first of change is not looked at.
func Swapped(own, change []float64) []bool {
	n := len(own)
	if n == 0 {
		return nil
	}
	best := [2]float64{0, own[0]} // of rows that end with no, and with yes
	from := make([][2]int, n)
	for i := 1; i < n; i++ {
		var next [2]float64
		for s := range 2 {
			keep, turn := best[s], best[1-s]+change[i]
			next[s], from[i][s] = keep, s
			if turn > keep {
				next[s], from[i][s] = turn, 1-s
			}
			next[s] += float64(s) * own[i]
		}
		best = next
	}
	out := make([]bool, n)
	s := 0
	if best[1] > best[0] {
		s = 1
	}
	for i := n - 1; i >= 0; i-- {
		out[i] = s == 1
		s = from[i][s]
	}
	return out
}
