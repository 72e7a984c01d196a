// turngauge.com: what a shell finds first under the name turngauge. Shells do not wait for a
// program with a window, and it has no console to write to: this runs turngauge.exe beside
// it with the same arguments, waits and ends as that does.
#define UNICODE
#define WIN32_LEAN_AND_MEAN
#include <windows.h>
#include <stdlib.h>
#include <wchar.h>

enum { LONGEST = 32768 };

// after_first is the command line without the program's name, as it was written.
static const wchar_t *after_first(const wchar_t *line) {
	int quoted = 0;
	for (; *line && (quoted || (*line != L' ' && *line != L'\t')); line++)
		if (*line == L'"') quoted = !quoted;
	return line;
}

// Ctrl-C goes to both; turngauge.exe decides what to do of it.
static BOOL WINAPI ignored(DWORD event) {
	(void)event;
	return TRUE;
}

int main(void) {
	static wchar_t program[LONGEST], line[2 * LONGEST];
	DWORD n = GetModuleFileName(NULL, program, LONGEST);
	if (n < 4 || n >= LONGEST) return 1;
	wcscpy(program + n - 4, L".exe");
	line[0] = L'"';
	wcscpy(line + 1, program);
	wcscat(line, L"\"");
	wcsncat(line, after_first(GetCommandLine()), LONGEST);

	STARTUPINFO start = {0};
	start.cb = sizeof start;
	start.dwFlags = STARTF_USESTDHANDLES;
	start.hStdInput = GetStdHandle(STD_INPUT_HANDLE);
	start.hStdOutput = GetStdHandle(STD_OUTPUT_HANDLE);
	start.hStdError = GetStdHandle(STD_ERROR_HANDLE);
	PROCESS_INFORMATION process;
	SetConsoleCtrlHandler(ignored, TRUE);
	if (!CreateProcess(program, line, NULL, NULL, TRUE, 0, NULL, NULL, &start, &process)) {
		static const char missing[] = "turngauge: turngauge.exe is not beside turngauge.com. Install the program again.\r\n";
		DWORD written;
		WriteFile(start.hStdError, missing, sizeof missing - 1, &written, NULL);
		return 1;
	}
	WaitForSingleObject(process.hProcess, INFINITE);
	DWORD code = 1;
	GetExitCodeProcess(process.hProcess, &code);
	return (int)code;
}
