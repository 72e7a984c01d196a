// Package saver keeps a lesson document up to date on the disk while it is edited: its
// lock against other windows, saving in the background, and the spare copy where the
// document can't be written.
package saver
