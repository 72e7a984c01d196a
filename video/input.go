package video

// #include "native.h"
import "C"

import (
	"context"
	"path/filepath"
	"runtime"

	"github.com/asticode/go-astiav"
)

// containers are the demuxers a clip may need. Play lists and other formats
// that make FFmpeg open further files stay out.
const containers = "mov,mp4,matroska,webm,avi,mpegts,mpeg,flv,asf,ogg,mxf,dv"

// demuxer is FFmpeg's hold on an open file. close it.
type demuxer struct {
	format *astiav.FormatContext
	io     *C.AVIOContext
	stop   *stopper
}

func (d *demuxer) close() {
	d.format.CloseInput()
	C.tg_close_input(d.io)
	runtime.KeepAlive(d.stop)
}

// openInput reads the header of an open file, leaving its edit list aside where
// asked to.
func openInput(ctx context.Context, f clipFile, withoutEdits bool) (*demuxer, error) {
	noMemory := fileError(f.name, ErrUnreadable, "can't be opened: out of memory.")
	d := &demuxer{format: astiav.AllocFormatContext()}
	if d.format == nil {
		return nil, noMemory
	}
	d.stop = newStopper(d.format)
	options := astiav.NewDictionary()
	defer options.Free()
	values := map[string]string{"format_whitelist": containers, "fpsprobesize": "0"}
	if withoutEdits {
		values["ignore_editlist"] = "1"
	}
	for k, v := range values {
		if err := options.Set(k, v, 0); err != nil {
			d.format.Free()
			return nil, noMemory
		}
	}
	if d.io = C.tg_read_from(cFormat(d.format), C.int(f.Fd())); d.io == nil {
		d.format.Free()
		return nil, noMemory
	}
	header := d.stop.during(ctx, headerTime)
	err := d.format.OpenInput("clip"+filepath.Ext(f.name), nil, options) // the ending is a hint at the format
	header()
	if err == nil {
		return d, nil
	}
	d.format.Free()
	C.tg_close_input(d.io)
	if err := d.stop.why(ctx, f.name); err != nil {
		return nil, err
	}
	return nil, explainUnreadable(f)
}
