// The few FFmpeg calls the Go binding does not offer, and the loops that
// touch every pixel. No function here keeps a pointer it was given.
#ifndef TURNGAUGE_VIDEO_NATIVE_H
#define TURNGAUGE_VIDEO_NATIVE_H

#include <libavcodec/avcodec.h>
#include <libavformat/avformat.h>
#include <libswscale/swscale.h>
#include <stdint.h>

// A scaler with the colour matrix and range of both sides set. matrix is an
// AVColorSpace value, full is 1 for full range. NULL when it can't be made.
struct SwsContext *tg_scaler_new(int src_w, int src_h, int src_format,
                                 int dst_w, int dst_h, int dst_format, int flags,
                                 int src_matrix, int src_full,
                                 int dst_matrix, int dst_full);

// Converts packed RGBA pixels into a writable yuv420p frame of the scaler's size.
int tg_frame_from_rgba(struct SwsContext *scaler, AVFrame *dst,
                       const uint8_t *rgba, int stride);

// Copies n mono samples into a planar-float audio frame of one channel.
int tg_frame_from_samples(AVFrame *dst, const float *samples, int n);

// Sets one text entry of the file's metadata.
int tg_set_metadata(void *format, const char *key, const char *value);

#endif
