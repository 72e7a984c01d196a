// Package ui is the window: what a coach sees and touches.
//
// # The frame contract
//
// One goroutine owns everything in an [App]; it is the one that waits for the
// window's events. A frame is: run what the mailbox holds, then update (events
// become actions, actions change the state), then lay out (the state is read
// and drawn). Nothing is changed while laying out, nothing waits, and no lock
// is taken.
//
// Work that takes time runs elsewhere: each clip's reader has its own
// goroutine, the fit has one, saving has one. They hand results over by posting
// a closure into the mailbox, which wakes the window. A result that is no
// longer wanted is recognised by its generation number and dropped.
//
// Every action of the coach's is a [kit.Command] in one table, from which keys,
// buttons, tooltips and the help under F1 are all made.
//
// What the window consists of beside its frame are rooms ([kit.Room]), in one
// list from the top of the window down: a card over it, or a panel in it. A room
// knows the window as a [kit.Host] and no other room.
//
// What the work on a swing consists of lives in package bench, which knows
// nothing of windows; this package draws it and feeds it.
package ui
