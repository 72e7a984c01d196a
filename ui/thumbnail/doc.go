// Package thumbnail shows small pictures of clips, lessons and picture files in lists:
// the golfer at address where that frame is known, else a frame from a third of the clip.
//
// Pictures are read on goroutines of their own, few at a time, the last asked for
// first; what has scrolled out of sight is not read any more. The latest stay in memory,
// and more of them as JPEG files in the folder for what may be lost (XDG_CACHE_HOME,
// freedesktop.org), for the user alone. [Pictures.Forget] empties that folder.
package thumbnail
