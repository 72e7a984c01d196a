package choose

// Keys lists the keys of the list of files and what they do, for the help; see
// listKeys and pathField.
var Keys = [...][2]string{
	{"Up, Down", "The entry above or below; with Shift several"},
	{"Page Up, Page Down", "A screenful up or down"},
	{"Home, End", "The first or the last entry"},
	{"Enter", "Open the folder, or take the chosen files"},
	{"Ctrl+Enter", "Take the chosen folder, or the one shown, where a folder is asked for"},
	{"Backspace, Alt+Up", "The folder above"},
	{"Ctrl+Space", "Choose this entry too, or not"},
	{"Ctrl+A", "Choose all files"},
	{"letters", "Go to the name that begins so"},
	{"/", "Write a path"},
	{"Esc", "Close the panel"},
}
