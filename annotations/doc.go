// Package annotations holds the lesson: who the student is, which clips belong
// to which swing, where the key positions are and what the coach has marked.
// It reads and writes the lesson document (JSON, version 1), edits it with
// undo, saves it in the background so that a kill loses nothing, turns a swing
// into the input of the fit, and reports the measures against target ranges. With
// the lesson go the coach's drawings, findings and prescription, what was marked
// a second time, and the shots, in blocks that can be compared.
//
// # The document
//
// A lesson is one UTF-8 JSON file. Coordinates are pixels of the upright
// picture, the centre of the first pixel being (0.5, 0.5). A number that is
// not known is absent; in the Go types it is 0, which no such number can
// otherwise be. Fields this version does not know are kept on every level and
// written back; reading them gives a warning with their JSON path. A document
// of a newer version is refused, because its meaning may have changed. A
// document with faults is refused as a whole, with every fault listed by its
// JSON path, so that nothing is measured from half of it.
//
// # Reading and changing
//
// A *Lesson held by an Editor is never changed in place: each edit makes a new
// one that shares what did not change. A pointer taken from Editor.Lesson
// stays valid and constant for as long as it is kept, on any goroutine.
package annotations
