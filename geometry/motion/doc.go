// Package motion fits the golfer's motion between the key positions of a swing to
// points that were followed through its clips: how far pelvis and chest have turned,
// and the other curves, at every instant, with their speeds and 95 % intervals.
//
// Fit fits the motion between the key positions to tracked points. Following
// a point from one mark to the next says by how much the two differ, so that the
// marks of a point can be made one (fusion.go); a second fit.Solution of such marks
// says where the golfer is at the key positions (keyprior.go), and the tracks how
// he gets from each to the next: at each instant the poses of pelvis and chest, the
// knees and the ankles, with speeds as unknowns of their own; cameras, shapes and
// misplacements once. curve.go begins it, the motion prior is in prior.go, draws for what
// depends on whole curves in draw.go.
//
// With 1 px of noise and of click and 8 mm of misplacement on the body the pelvis
// turn errs by 1.4 degrees, root mean square, at the key positions, for made-up
// golfers, and by 1.7 for a captured one; with the usual 2.5 px of click by 1.8 and
// 1.9, where the marks alone err by 4.0 and 3.7 (curve_test.go). The intervals contain
// the truth in 97 to 100 per cent, those of the captured one's forward bend in 86;
// those of the speeds of turning in 98 to 100 and of the captured one's in 91 to 96
// (errordraws.go). In real pictures cloth parts from the joints, so that only what is rigid tells the marks' errors, belt and shoes, and
// the knees a little: over twelve hands of 2 px that marked the demo's two swings,
// followed by the real tracker, the pelvis turn errs by 2.8 degrees (marks alone 3.4)
// and the torso turn by 2.0 (2.2).
//
// # Clothes
//
// Where the caller can look at the pictures (Cloth), patches of belt and trousers are one more
// kind of observation of the pelvis, which rests on no mark: taken from a frame every 80
// to 200 ms, aligned with the others under the warp that the fit itself expects (clothplan.go), and
// not chained. Where on the body a patch lies is where its pixel's ray meets a shell about the pelvis
// (shell.go) in the frame that it was taken from; the pelvis' pose there and the shell's shape are
// unknowns, and so is by how much the clothes have turned on the bone (patch.go). After two rounds of
// aligning and fitting the matches must hang together in both views, and not turn the pelvis to where
// the marks say that it is not; else the fit is what it is without them (clothfit.go).
//
// The bias that a study found, up to 1.8 degrees toward what turns less, is found out by
// aligning under the true motion of a rendered golfer, in pictures free of compression as well. Patches
// that have an edge and little else follow the shading along it, which stands still: they are refused
// (video/patch). And cloth is round: a patch taken for flat lags by 0.2 to 0.4 degrees in each match about
// the side of a hip, the more the larger the patch; with the bend of the shell in the warp 0.0 to 0.2 are
// left. Gloss, stitches near the resolution of the picture, compression, and light that changes across
// the patch were tried and were not it. Clocks of two clips that are unknowns of the matches too were pulled by
// 2 to 5 ms out of their place, and turns with them; they are held.
//
// The demo's first visit, marked by a hand of 2 px whose marks are 7 degrees off at impact; errors of the
// pelvis turn over five positions in degrees, root mean square, all within their intervals:
//
//	marks and tracks                  3.5   ±9.0
//	with belt and trousers            1.9   ±4.8
//	the same, rendered anew           1.0   ±4.8
//	of plain cloth                    2.5   ±4.8
//	every fourth frame, 60 a second   1.3   ±4.8
//	dark and noisy                    3.5   ±9.0, refused: 63 of 122 frames
//
// A slip of 3 mm late in the downswing adds 1.4 degrees at impact, one of 6 mm 2.8, and nothing shows it:
// it is an unknown with a prior that grows from the top to impact (patch.go), and so does the interval, from
// ±4.0 degrees in the backswing to ±5.6 at impact.
//
// On other golfers, rendered at half the size with half the frames (the demo's visits with all of them;
// make accuracy-cloth), pelvis turn as above, root mean square, interval, and in how many of the
// positions the interval holds the truth, over one to three hands of 2 px at 1080:
//
//	                          hands  marks        tracks       clothes
//	demo, first visit             3  3.9  ±9.7    3.4  ±9.8    1.8  ±4.7  100 %
//	demo, second visit            1  5.2  ±9.9    4.2  ±9.8    1.0  ±4.8  100 %
//	left-hander, 1.78 m           2  3.6  ±11.8   3.0  ±13.7   2.2  ±4.7  100 %
//	heavy, 1.74 m                 1  4.2  ±10.7   2.5  ±10.4   2.2  ±4.7  100 %
//	tall, 1.84 m                  2  4.0  ±11.4   3.6  ±12.2   3.4  ±4.7   80 %
//	small, in a skirt             2  4.7  ±9.5    2.8  ±10.5   3.1  ±5.2   90 %
//	first visit, slip 6 mm        3  3.6  ±9.8    2.8  ±9.8    2.2  ±4.8  100 %
//	60 a second                   3  4.0  ±9.8    3.4  ±10.2   1.6  ±4.9  100 %
//	plain cloth                   1  4.9  ±10.3   3.9  ±9.6    3.4  ±5.2  100 %
//	a shirt over the belt         2  3.5  ±15.8   2.6  ±15.5   2.5  ±9.5  100 %
//	dark and noisy                1  4.9  ±10.3   5.2  ±9.5    refused: seen in 23 % of frames
//
// In all 97 of 100 lie inside; the first hand, which all have, is the one that is 7 degrees off at impact. In
// a skirt the turn is told more narrowly and no better. The clothes take 2 s of processor time a swing. Peak
// speed of the pelvis: 14 to 59 degrees a second off, ±50 to ±90, of the torso 20 to 110, ±80 to ±145; the
// left-hander's torso and a shirt over the belt lie outside in a half. In which order they turn round could be
// told in none of these swings.
//
// # Sources
//
// Särkkä & Solin 2019, Applied Stochastic Differential Equations (the motion prior
// and what it expects between instants); Nocedal & Wright, Numerical Optimization,
// ch. 10; Triggs et al. 2000, Bundle Adjustment.
package motion
