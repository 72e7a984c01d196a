// Package manual is the user guide in the window: how to film and to mark, how
// to read an interval and a verdict, and what each measure is, with pictures
// that are drawn from the program's own golfer and its own definitions.
package manual
