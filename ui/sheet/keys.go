package sheet

// Keys lists the keys of the sheet while it has the keyboard and what they do,
// for the help; see updateKeys.
var Keys = [...][2]string{
	{"Up, Down", "The row above or below"},
	{"Page Up, Page Down", "A screenful up or down"},
	{"Home, End", "The first or the last row"},
	{"Alt+Up, Alt+Down", "Move the row: its measure stands there from now on"},
	{"Alt+Home", "Rows in their usual order again"},
	{"Enter", "Show the row's key position on the stages"},
	{"Ctrl+C", "Copy the row; with Shift the whole sheet"},
}
