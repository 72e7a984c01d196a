package video

import "time"

// Info is what the program knows of a clip after opening it.
type Info struct {
	Path         string        `json:"path"`
	Container    string        `json:"container"`
	Codec        string        `json:"codec"`
	PixelFormat  string        `json:"pixel_format"`
	BitDepth     int           `json:"bit_depth"`
	Width        int           `json:"width"` // upright pixels, the shape of the samples applied
	Height       int           `json:"height"`
	StoredWidth  int           `json:"stored_width"` // as encoded
	StoredHeight int           `json:"stored_height"`
	SampleAspect [2]int        `json:"sample_aspect"` // width to height of one stored sample
	RotationDeg  int           `json:"rotation_deg"`  // clockwise, already applied to Width and Height
	Mirrored     bool          `json:"mirrored"`      // left and right are exchanged before rotating
	TimeBase     [2]int        `json:"time_base"`     // seconds per tick as a fraction
	Frames       int           `json:"frames"`
	FirstPTS     int64         `json:"first_pts"` // ticks of frame 0
	Duration     time.Duration `json:"duration_ns"`
	RateFPS      float64       `json:"rate_fps"`     // mean over the clip; 0 for a single frame
	PlaybackFPS  float64       `json:"playback_fps"` // of the usual step between frames; 0 for a single frame
	FilmedFPS    float64       `json:"filmed_fps"`   // frames a second of life; 0 when the file does not say
	FilmedFrom   string        `json:"filmed_from"`  // where that was read, "" when the file does not say
	// Recorded is when the file says that it was recorded, the zero time where it does
	// not: phones mean the beginning or the end of filming.
	Recorded     time.Time `json:"recorded,omitzero"`
	VariableRate bool      `json:"variable_rate"`
	KeyFrames    int       `json:"key_frames"`
	LongestGroup int       `json:"longest_group"` // most frames from one key frame to the next

	ColourMatrix    string `json:"colour_matrix"`    // the one used for display
	ColourRange     string `json:"colour_range"`     // "limited" or "full"
	ColourTransfer  string `json:"colour_transfer"`  // as declared, "" when not
	ColourPrimaries string `json:"colour_primaries"` // as declared, "" when not
	ColourAssumed   bool   `json:"colour_assumed"`   // the file declares no matrix
	HDR             bool   `json:"hdr"`
	Interlaced      bool   `json:"interlaced"`

	HasAudio      bool   `json:"has_audio"`
	AudioCodec    string `json:"audio_codec,omitempty"`
	AudioRate     int    `json:"audio_rate,omitempty"` // samples per second
	AudioChannels int    `json:"audio_channels,omitempty"`

	SizeBytes      int64    `json:"size_bytes"`
	PictureBytes   int64    `json:"picture_bytes"`   // memory one decoded picture takes, about
	DamagedPackets int      `json:"damaged_packets"` // marked as damaged in the file
	UntimedPackets int      `json:"untimed_packets"` // without a display time of their own
	Warnings       []string `json:"warnings"`        // sentences for the coach, none when all is well
}
