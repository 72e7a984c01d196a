// Package takehome makes what a student takes home from a lesson: a sheet as
// PDF or as a single HTML file.
//
// [Build] gathers what the sheet says from a lesson and its clips into one
// [Sheet]; [Sheet.PDF] and [Sheet.HTML] write it. Its diagrams are lists of
// shapes ([Drawing]), made once and written to both. [Write] does it all.
//
// The sheet says nothing that was not measured or taken by the coach: no number
// without its 95 % interval, and where nothing can be told it says so and what
// to film or mark next.
//
// The PDF embeds the Go fonts (a BSD licence), which have Latin, Greek and
// Cyrillic letters. Letters they lack are drawn as outlines from a font of the
// computer that has them; what no font has stands as a box, and Write says so.
// The PDF has a title, a language and an author, but no tags for a screen
// reader, which its library can't write: the HTML sheet is the accessible one.
//
// The package opens no window and needs no graphics card.
package takehome
