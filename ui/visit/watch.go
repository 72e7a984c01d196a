package visit

import (
	"cmp"
	"context"
	"os"
	"slices"
	"time"
)

const (
	// watchEvery is how often a watched folder is looked at, settledFor how long a file
	// must not have grown, and aloneFor how long one waits for the other view.
	watchEvery, settledFor, aloneFor = 2 * time.Second, 5 * time.Second, 45 * time.Second
)

// Watcher notices the clips that come into a folder. It moves and deletes nothing.
type Watcher struct {
	folder string
	files  map[string]*arriving
}

// arriving is a clip that has come.
type arriving struct {
	size    int64
	changed time.Time
	since   time.Time // it was seen first
	done    bool      // it was handed on, or was there before
}

// NewWatcher returns a watcher of what comes into a folder beside the clips that were in
// it before.
func NewWatcher(folder string, before []string) *Watcher {
	w := &Watcher{folder: folder, files: map[string]*arriving{}}
	for _, path := range before {
		w.files[path] = &arriving{done: true}
	}
	return w
}

// Folder is what is watched.
func (w *Watcher) Folder() string { return w.folder }

// Poll looks into the folder and returns the clips that have come and stopped growing,
// each once: two or more together, or one for which no other has come for a while. now is
// the time. The error is that of reading the folder, which may pass.
func (w *Watcher) Poll(now time.Time) (ready []string, err error) {
	there, err := Clips(w.folder)
	if err != nil {
		return nil, err
	}
	growing, longest := false, time.Duration(0)
	for _, path := range there {
		info, err := os.Stat(path)
		if err != nil {
			continue // it has gone again
		}
		f := w.files[path]
		if f == nil {
			f = &arriving{size: -1, since: now}
			w.files[path] = f
		}
		switch {
		case f.done:
		case info.Size() != f.size:
			f.size, f.changed = info.Size(), now
			growing = true
		case f.size == 0 || now.Sub(f.changed) < settledFor:
			growing = true
		default:
			ready = append(ready, path)
			longest = max(longest, now.Sub(f.since))
		}
	}
	if growing || len(ready) == 1 && longest < aloneFor {
		return nil, nil // the other view may be on its way
	}
	for _, path := range ready {
		w.files[path].done = true
	}
	slices.SortFunc(ready, func(a, b string) int {
		return cmp.Or(w.files[a].since.Compare(w.files[b].since), cmp.Compare(a, b))
	})
	return ready, nil
}

// Run polls until ctx ends, and hands on what is ready. trouble is told, once, when the
// folder can't be read.
func (w *Watcher) Run(ctx context.Context, ready func([]string), trouble func(error)) {
	ticker := time.NewTicker(watchEvery)
	defer ticker.Stop()
	told := false
	for {
		select {
		case <-ctx.Done():
			return
		case now := <-ticker.C:
			list, err := w.Poll(now)
			if err != nil && !told {
				trouble(err)
			}
			told = err != nil
			if len(list) > 0 {
				ready(list)
			}
		}
	}
}
