// Package library keeps a coach's lessons together: which students there are,
// which lessons of theirs, what was measured, found and prescribed in each.
//
// # What is the truth
//
// A lesson is its document (package annotations). It lies where the coach has
// it, is saved by saver.Saver, and can be read without this program. The
// library writes nothing into it but a student's id and name ([Library.SetCard]). It is an index beside the documents, so a lesson can
// be worked on while the library is broken, missing or read-only, and a library
// that is lost can be made again from documents.
//
// Beside the index the library keeps a copy of every document it has seen, one
// for each of the last days on which it changed, in plain gzip files. A lost
// or spoilt document is got back from there ([Library.Restore]), and a library
// without a good backup is filled from there.
//
// Some things are in the library alone: tags, the drill shelf, target ranges of
// the coach's own and for a student, a student's contact. They are in the backups.
//
// # Files
//
//	library.db                     the index: SQLite, write-ahead log
//	copies/UID/2026-05-02.json.gz  copies of a lesson's document
//	backups/library 2026-05-02.db  backups in rotation
//	trash/UID.json                 documents of deleted lessons
//	photos/ID UID.jpg              photos of students
//
// What the library asks of a database is a [Store], and its queries are written once, in
// words that SQLite and PostgreSQL share; package sqlite keeps the index in library.db. Each
// change is one transaction that is on the disk when it returns.
//
// # Who a student is
//
// A document names its student and, since there are ids, says who it is: students of one
// name are told apart by them. Documents without an id are told apart by name, without
// regard to case and spaces, and the first document with an id is of the one student of
// its name who had none ([Library.TellApart] is for when it is not). A document whose name
// has not changed stays whose it was. Two students who are one are joined in the library
// alone, so that they can be taken apart again.
//
// # Two windows, and damage
//
// Several processes may have a library open; SQLite's locks keep their changes
// apart, and a change waits for up to five seconds. [Open] makes sure that the
// index is sound. If it is damaged, it is put aside under a name with its date,
// the newest good backup takes its place, lessons that changed since are read
// from their copies, and [Library.Notices] says so.
//
// # Times and texts
//
// Times are milliseconds since 1970. Text is searched folded: in lower case and
// without diacritics, so that "muller" finds Müller and "bjorn" Bjørn.
package library
