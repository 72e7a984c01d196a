// Package takehome makes what a student takes home from a lesson: a sheet as
// PDF or as a single HTML file, and an annotated clip.
//
// [Build] gathers what the sheet says from a lesson and its clips into one
// [Sheet]; [Sheet.PDF], [Sheet.HTML] and [Sheet.Image] write it. Its diagrams are lists of
// shapes ([Drawing]), made once and written to both. [Write] does it all.
//
// The sheet says nothing that was not measured or taken by the coach. The student
// reads numbers in words; each stands with its 95 % interval in the coach's tables,
// on the last pages, and where nothing can be told the sheet says so and what to
// film or mark next.
//
// The PDF embeds the Go fonts (a BSD licence), which have Latin, Greek and
// Cyrillic letters. Letters they lack are drawn as outlines from a font of the
// computer that has them, and are text all the same for who searches, copies or
// listens; what no font has stands as a box, and Write says so. The PDF is a
// tagged one: headings, lists, tables with their heads and pictures with words
// in their place, in reading order. Its library can't write that, so it is added
// to the finished file in the way PDF has for additions. It is not checked for
// conformance with PDF/UA, and claims none.
//
// The package opens no window and needs no graphics card.
package takehome
