package profile

// Settings is how the coach likes the window.
type Settings struct {
	Light     bool    `json:"light,omitempty"`
	TextScale float32 `json:"text_scale,omitempty"`
	Width     int     `json:"width_dp,omitempty"`
	Height    int     `json:"height_dp,omitempty"`
	HideBones bool    `json:"hide_lines,omitempty"`
	// SheetShare and StageShare are the parts of the width that the sheet and
	// the first stage take.
	SheetShare float32 `json:"sheet_share,omitempty"`
	StageShare float32 `json:"stage_share,omitempty"`
	// SheetOrder names measures in the coach's own order, with commas between; "" is the
	// usual one.
	SheetOrder string `json:"sheet_order,omitempty"`
	// Plan is "shown" or "folded" where the coach has said so; else the plan view is
	// folded where the sheet needs its room.
	Plan     string `json:"plan_view,omitempty"`
	CacheMB  int64  `json:"cache_mb,omitempty"`
	Imperial bool   `json:"imperial,omitempty"`
	// Decided is the probability from which on a verdict or the direction of a
	// change is told; 0 for the usual one.
	Decided float64 `json:"decided,omitempty"`
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
	// HandoutFolder is where what students take home was written last; "" for beside
	// the lesson.
	HandoutFolder string `json:"handout_folder,omitempty"`
	// AcademyName, AcademyAddress and AcademyLogo, a PNG or JPEG, stand at the head of
	// what students take home; "" for none.
	AcademyName    string `json:"academy_name,omitempty"`
	AcademyAddress string `json:"academy_address,omitempty"`
	AcademyLogo    string `json:"academy_logo,omitempty"`
	// Microphone is the ID of the one that reviews are recorded with; "" for the usual one.
	Microphone string `json:"microphone,omitempty"`
	// LibraryFolder is where the library was moved to; "" for its usual place.
	LibraryFolder string `json:"library_folder,omitempty"`
	// TourSeen says that the tour was shown, or turned away.
	TourSeen bool `json:"tour_seen,omitempty"`
}

// Settings reads the settings, or gives those that one begins with.
func (d Dirs) Settings() Settings {
	var s Settings
	// Broken settings are as good as none.
	if ReadJSON(d.settingsFile(), &s) != nil {
		s = Settings{}
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

// Keep writes the settings.
func (d Dirs) Keep(s Settings) error { return WriteJSON(d.settingsFile(), s) }
