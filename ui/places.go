package ui

import (
	"encoding/json"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"turngauge/annotations"
	"turngauge/annotations/place"
	"turngauge/ui/demo"
)

// places is where the program keeps things, by the XDG base directory
// specification (freedesktop.org): lessons as data, the list of recent lessons
// as state, settings as configuration.
type places struct {
	data, state, config string
}

// recent is a lesson that was opened, as the first window lists it.
type recent struct {
	Path    string    `json:"path"`
	Title   string    `json:"title"`
	Student string    `json:"student"`
	Date    string    `json:"date"`
	Opened  time.Time `json:"opened"`
}

// maxRecent is how many lessons the first window lists.
const maxRecent = 12

func xdg(variable, fallback string) string {
	if d := os.Getenv(variable); filepath.IsAbs(d) {
		return filepath.Join(d, "turngauge")
	}
	home, err := os.UserHomeDir()
	if err != nil {
		home = os.TempDir()
	}
	return filepath.Join(home, fallback, "turngauge")
}

func standardPlaces() places {
	return places{
		data:   xdg("XDG_DATA_HOME", ".local/share"),
		state:  xdg("XDG_STATE_HOME", ".local/state"),
		config: xdg("XDG_CONFIG_HOME", ".config"),
	}
}

// DemoDir is where the window keeps the demo lesson.
func DemoDir() string { return filepath.Join(standardPlaces().data, "demo") }

func (p places) demo() string { return filepath.Join(p.data, "demo") }

// isDemo reports whether a lesson document is that of the demo lesson itself.
func (p places) isDemo(path string) bool {
	abs, err := filepath.Abs(path)
	return err == nil && abs == filepath.Join(p.demo(), demo.LessonFile)
}

// LibraryFolder is where the library is.
func LibraryFolder() string { return standardPlaces().library() }

// LessonFolder is where the window puts new lessons.
func LessonFolder() string { return filepath.Join(standardPlaces().data, "lessons") }

func (p places) library() string {
	if f := p.settings().LibraryFolder; filepath.IsAbs(f) {
		return f
	}
	return filepath.Join(p.data, "library")
}

// exports is where lessons are exported to: the documents folder that the desktop
// names (xdg-user-dirs), else the program's own.
func (p places) exports() string {
	home, _ := os.UserHomeDir()
	text, _ := os.ReadFile(filepath.Join(filepath.Dir(p.config), "user-dirs.dirs"))
	for line := range strings.Lines(string(text)) {
		if value, ok := strings.CutPrefix(strings.TrimSpace(line), "XDG_DOCUMENTS_DIR="); ok {
			dir := strings.Replace(strings.Trim(value, `"`), "$HOME", home, 1)
			if filepath.IsAbs(dir) && isFolder(dir) {
				return dir
			}
		}
	}
	return filepath.Join(p.data, "exports")
}

func (p places) lesson(id string) string { return filepath.Join(p.data, "lessons", id+".json") }
func (p places) faults() string          { return filepath.Join(p.state, "faults") }
func (p places) stopFile() string        { return filepath.Join(p.state, "stopped.json") }
func (p places) recentFile() string      { return filepath.Join(p.state, "recent.json") }
func (p places) settingsFile() string    { return filepath.Join(p.config, "settings.json") }

// ownTargets and ownRules are where a coach may put ranges and rules of their
// own, which come before the program's.
func (p places) ownTargets() string { return filepath.Join(p.config, "targets.json") }
func (p places) ownRules() string   { return filepath.Join(p.config, "rules.json") }

func readJSON(path string, into any) error {
	b, err := os.ReadFile(path)
	if err != nil {
		return err
	}
	return json.Unmarshal(b, into)
}

// writeJSON replaces a small file of our own as a whole.
func writeJSON(path string, v any) error {
	b, err := json.MarshalIndent(v, "", "  ")
	if err != nil {
		return err
	}
	if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
		return err
	}
	return place.Bytes(path, append(b, '\n'))
}

// recents lists the lessons opened last, newest first, without those whose
// file has gone.
func (p places) recents() []recent {
	var list []recent
	if readJSON(p.recentFile(), &list) != nil {
		return nil
	}
	return slices.DeleteFunc(list, func(r recent) bool {
		_, err := os.Stat(r.Path)
		return err != nil
	})
}

// remember puts a lesson at the head of the recent ones. Losing this list
// loses no work, so a failure to write it is let be.
func (p places) remember(path string, l *annotations.Lesson) {
	path, err := filepath.Abs(path)
	if err != nil {
		return
	}
	list := slices.DeleteFunc(p.recents(), func(r recent) bool { return r.Path == path })
	list = slices.Insert(list, 0, recent{path, l.Title, l.Student.Name, l.Date, time.Now()})
	_ = writeJSON(p.recentFile(), list[:min(len(list), maxRecent)])
}

// settings is how the coach likes the window.
type settings struct {
	Light     bool    `json:"light,omitempty"`
	TextScale float32 `json:"text_scale,omitempty"`
	Width     int     `json:"width_dp,omitempty"`
	Height    int     `json:"height_dp,omitempty"`
	HideBones bool    `json:"hide_lines,omitempty"`
	// SheetShare and StageShare are the parts of the width that the sheet and
	// the first stage take.
	SheetShare float32 `json:"sheet_share,omitempty"`
	StageShare float32 `json:"stage_share,omitempty"`
	CacheMB    int64   `json:"cache_mb,omitempty"`
	Imperial   bool    `json:"imperial,omitempty"`
	// LetterPaper is for take-home sheets; A4 else.
	LetterPaper bool `json:"letter_paper,omitempty"`
	// ClickSDPx is the coach's own click error, pixels, once it is known; new
	// lessons are measured with it.
	ClickSDPx float64 `json:"click_sd_px,omitempty"`
	// ExplainLines names the lines that are on while explaining, with commas
	// between; "" is the usual ones.
	ExplainLines string `json:"explain_lines,omitempty"`
	// StillFolder is where a picture was saved last.
	StillFolder string `json:"still_folder,omitempty"`
	// LibraryFolder is where the library was moved to; "" for its usual place.
	LibraryFolder string `json:"library_folder,omitempty"`
	// TourSeen says that the tour was shown, or turned away.
	TourSeen bool `json:"tour_seen,omitempty"`
}

func (p places) settings() settings {
	var s settings
	// Broken settings are as good as none.
	if readJSON(p.settingsFile(), &s) != nil {
		s = settings{}
	}
	if s.TextScale == 0 {
		s.TextScale = 1
	}
	if s.SheetShare < 0.15 || s.SheetShare > 0.5 {
		s.SheetShare = 0.26
	}
	if s.StageShare < 0.2 || s.StageShare > 0.8 {
		s.StageShare = 0.5
	}
	return s
}

func (p places) keep(s settings) error { return writeJSON(p.settingsFile(), s) }
