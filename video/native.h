// The few FFmpeg calls the Go binding does not offer, and the loops that
// touch every pixel. No function here keeps a pointer it was given.
#ifndef TURNGAUGE_VIDEO_NATIVE_H
#define TURNGAUGE_VIDEO_NATIVE_H

#include <libavcodec/avcodec.h>
#include <libavformat/avformat.h>
#include <libswscale/swscale.h>
#include <stdint.h>

// What the frame index needs to know of a packet. hidden: decoded, never shown.
struct tg_packet {
    int64_t pts, dts, pos, duration;
    int32_t size, stream, key, hidden, corrupt;
};

// Three planes of 8-bit 4:2:0 samples; both chroma planes share a stride.
struct tg_planes {
    int width, height, luma_stride, chroma_stride;
    int64_t u, v; // offsets of the chroma planes from the luma plane
};

// --- reading files

// Has a format, before it is opened, read what an open file holds, by pread, and
// open no other. The result is given back to tg_close_input once the format is closed;
// NULL without memory.
AVIOContext *tg_read_from(void *format, int fd);
void tg_close_input(AVIOContext *io);

int tg_find_stream_info(void *format, int64_t max_pixels);
int tg_best_stream(void *format, int media_type);
int tg_is_cover_picture(void *format, int stream);
void tg_keep_only(void *format, int stream);
// Names of FFmpeg's numbers; NULL when there is none.
const char *tg_matrix_name(int matrix);
const char *tg_transfer_name(int transfer);
const char *tg_primaries_name(int primaries);
// Bits per sample of a pixel format, and whether it holds red, green and blue.
int tg_bit_depth(int format);
int tg_is_rgb(int format);
// Bytes of a picture; INT_MAX where it can't be told.
int tg_picture_bytes(int format, int width, int height);
int tg_field_order(void *codec_parameters);
int tg_read_packet(void *format, AVPacket *packet, int codec_id, struct tg_packet *out);

// --- memory for pictures

// A pool of equal slots. It goes once it is closed and its last slot is back;
// slots may come back on any thread. page is the machine's page size in bytes:
// slots are whole pages, because only whole pages can be given back.
struct tg_pool;
struct tg_pool *tg_pool_new(size_t page);
void tg_pool_close(struct tg_pool *pool);
AVBufferRef *tg_pool_take(struct tg_pool *pool, size_t size); // NULL without memory
// Where a slot lies: the number of its arena, and bytes from the start of that.
void tg_pool_place(const AVBufferRef *ref, int *arena, int64_t *at);
// The file of an arena, by which another process can map it: the caller's from now on.
// -1 the second time.
int tg_pool_take_arena(struct tg_pool *pool, int number);
// Makes a decoder, before it is opened, put its pictures into the pool.
void tg_pool_serve(struct tg_pool *pool, void *codec);
// Another hold on a decoded picture's memory, and where its planes lie; NULL
// when the picture is not of 8-bit 4:2:0 samples of the size in planes, or does
// not lie in a pool.
AVBufferRef *tg_hold_picture(void *codec, const AVFrame *frame, struct tg_planes *planes);

// --- decoding

void tg_flush(void *codec);
// Tells the decoder the ticks of its packets, so that it can correct the time
// of sound it trims.
void tg_set_packet_time_base(void *codec, int num, int den);
void tg_skip_unreferenced(void *codec, int skip);
int tg_frame_damaged(const AVFrame *frame);
// Copies a decoded picture into base; 0 when its format or size needs a scaler.
int tg_copy_picture(const AVFrame *frame, uint8_t *base, const struct tg_planes *p);
int tg_scale_picture(struct SwsContext *scaler, const AVFrame *frame, uint8_t *base, const struct tg_planes *p);
// Mean of all channels of an audio frame as floats; the number of samples, or
// a negative error for a sample format FFmpeg added later.
int tg_mono(const AVFrame *frame, float *dst, int room);

// --- scaling and rotating

// A scaler with the colour matrix and range of both sides set. matrix is an
// AVColorSpace value, full is 1 for full range; chroma_x and chroma_y place the
// source's chroma samples in 1/256 luma pixel, -513 leaves them to FFmpeg.
// NULL when the scaler can't be made.
struct SwsContext *tg_scaler_new(int src_w, int src_h, int src_format,
                                 int dst_w, int dst_h, int dst_format, int flags,
                                 int src_matrix, int src_full,
                                 int dst_matrix, int dst_full,
                                 int chroma_x, int chroma_y);

// Scales the part of a picture that starts at (x, y), whose size the scaler knows.
int tg_scale_part(struct SwsContext *scaler, const uint8_t *base, const struct tg_planes *p,
                  int x, int y, int height, uint8_t *dst, int dst_stride);

// The 2 x 2 box filter: writes the means of 2 x 2 samples of the part at (x, y), width x height luma
// samples large, into dst. Gray leaves the chroma planes out. Both sizes and
// the corner are even, without gray multiples of four and even.
void tg_box_filter(const uint8_t *base, const struct tg_planes *p, int x, int y, int width, int height,
              int gray, uint8_t *dst, const struct tg_planes *to);

// Rotates or mirrors a w x h picture of size-byte pixels: what lies at (x, y) goes to
// (xx*x + xy*y, yx*x + yy*y), shifted into the positive quadrant.
void tg_rotate(const uint8_t *src, int src_stride, int w, int h, int size,
             int xx, int xy, int yx, int yy, uint8_t *dst, int dst_stride);

// Scales likewise into three planes.
int tg_scale_part_planes(struct SwsContext *scaler, const uint8_t *base, const struct tg_planes *p,
                         int x, int y, int height, uint8_t *dst, const struct tg_planes *to);

// --- pictures to be encoded: yuv420p frames, BT.709, limited range. Corners and
// sizes are even.

// Gives the frame memory of its own if another still holds what it has.
int tg_own(AVFrame *frame);
// Puts a picture of three planes, rotated as by tg_rotate, with its corner at (x, y).
void tg_put(AVFrame *to, int x, int y, const uint8_t *base, const struct tg_planes *p,
            int xx, int xy, int yx, int yy);
// Fills a rectangle with one colour.
void tg_fill(AVFrame *to, int x, int y, int w, int h, int luma, int u, int v);
// Lays w x h premultiplied RGBA pixels over the frame, their corner at (x, y);
// width and height may be odd.
void tg_over(AVFrame *to, int x, int y, const uint8_t *rgba, int stride, int w, int h);

// --- writing files

// Has a format write into an open file, from its beginning, and open no other.
// tg_close_output, before the format is freed, returns the first error of writing.
int tg_write_to(void *format, int fd);
int tg_close_output(void *format);

// Converts packed RGBA pixels into a writable yuv420p frame of the scaler's size.
int tg_frame_from_rgba(struct SwsContext *scaler, AVFrame *dst,
                       const uint8_t *rgba, int stride);

// Copies n mono samples into a planar-float audio frame of one channel.
int tg_frame_from_samples(AVFrame *dst, const float *samples, int n);

// Sets one text entry of the file's metadata.
int tg_set_metadata(void *format, const char *key, const char *value);

#endif
