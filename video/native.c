#include "native.h"

#include <limits.h>
#include <libavutil/frame.h>
#include <libavutil/imgutils.h>
#include <libavutil/opt.h>
#include <libavutil/pixdesc.h>
#include <string.h>

#ifdef __SSE2__
#include <emmintrin.h>
#endif

int tg_find_stream_info(void *format, int64_t max_pixels)
{
    AVFormatContext *f = format;
    unsigned n = f->nb_streams;
    AVDictionary **options = av_calloc(n ? n : 1, sizeof(*options));
    if (!options)
        return AVERROR(ENOMEM);
    for (unsigned i = 0; i < n; i++)
        av_dict_set_int(&options[i], "max_pixels", max_pixels, 0);
    int err = avformat_find_stream_info(f, n ? options : NULL);
    for (unsigned i = 0; i < n; i++)
        av_dict_free(&options[i]);
    av_free(options);
    return err;
}

int tg_best_stream(void *format, int media_type)
{
    return av_find_best_stream(format, media_type, -1, -1, NULL, 0);
}

int tg_is_cover_picture(void *format, int stream)
{
    return (((AVFormatContext *)format)->streams[stream]->disposition & AV_DISPOSITION_ATTACHED_PIC) != 0;
}

void tg_keep_only(void *format, int stream)
{
    AVFormatContext *f = format;
    for (unsigned i = 0; i < f->nb_streams; i++)
        f->streams[i]->discard = (int)i == stream ? AVDISCARD_DEFAULT : AVDISCARD_ALL;
}

const char *tg_matrix_name(int matrix) { return av_color_space_name(matrix); }
const char *tg_transfer_name(int transfer) { return av_color_transfer_name(transfer); }
const char *tg_primaries_name(int primaries) { return av_color_primaries_name(primaries); }

int tg_bit_depth(int format)
{
    const AVPixFmtDescriptor *d = av_pix_fmt_desc_get(format);
    return d ? d->comp[0].depth : 0;
}

int tg_is_rgb(int format)
{
    const AVPixFmtDescriptor *d = av_pix_fmt_desc_get(format);
    return d && (d->flags & AV_PIX_FMT_FLAG_RGB) != 0;
}

int tg_picture_bytes(int format, int width, int height)
{
    int n = av_image_get_buffer_size(format, width, height, 1);
    return n < 0 ? INT_MAX : n;
}

int tg_field_order(void *codec_parameters)
{
    return ((AVCodecParameters *)codec_parameters)->field_order;
}

int tg_read_packet(void *format, AVPacket *packet, int codec_id, struct tg_packet *out)
{
    int err = av_read_frame(format, packet);
    if (err < 0)
        return err;
    out->pts = packet->pts;
    out->dts = packet->dts;
    out->pos = packet->pos;
    out->duration = packet->duration;
    out->size = packet->size;
    out->stream = packet->stream_index;
    out->key = (packet->flags & AV_PKT_FLAG_KEY) != 0;
    out->corrupt = (packet->flags & AV_PKT_FLAG_CORRUPT) != 0;
    out->hidden = (packet->flags & AV_PKT_FLAG_DISCARD) != 0;
    // VP8 says in the first byte whether a picture is shown (RFC 6386, 9.1).
    if (codec_id == AV_CODEC_ID_VP8 && packet->size > 0 && !(packet->data[0] & 0x10))
        out->hidden = 1;
    return 0;
}

void tg_flush(void *codec) { avcodec_flush_buffers(codec); }

void tg_set_packet_time_base(void *codec, int num, int den)
{
    ((AVCodecContext *)codec)->pkt_timebase = (AVRational){num, den};
}

void tg_skip_unreferenced(void *codec, int skip)
{
    ((AVCodecContext *)codec)->skip_frame = skip ? AVDISCARD_NONREF : AVDISCARD_DEFAULT;
}

int tg_frame_damaged(const AVFrame *frame)
{
    return frame->decode_error_flags != 0 || (frame->flags & AV_FRAME_FLAG_CORRUPT) != 0;
}

static void copy_plane8(uint8_t *dst, int dst_stride, const uint8_t *src, int src_stride, int w, int h)
{
    for (int y = 0; y < h; y++)
        memcpy(dst + (size_t)y * dst_stride, src + (ptrdiff_t)y * src_stride, w);
}

// 10-bit samples rounded to 8 bits.
static void copy_plane10(uint8_t *restrict dst, int dst_stride, const uint8_t *src, int src_stride, int w, int h)
{
    for (int y = 0; y < h; y++) {
        const uint16_t *restrict in = (const uint16_t *)(src + (ptrdiff_t)y * src_stride);
        uint8_t *restrict out = dst + (size_t)y * dst_stride;
        for (int x = 0; x < w; x++) {
            unsigned v = (in[x] + 2u) >> 2;
            out[x] = v > 255 ? 255 : v;
        }
    }
}

int tg_copy_picture(const AVFrame *frame, uint8_t *base, const struct tg_planes *p)
{
    void (*copy)(uint8_t *, int, const uint8_t *, int, int, int);
    if (frame->width != p->width || frame->height != p->height)
        return 0;
    switch (frame->format) {
    case AV_PIX_FMT_YUV420P:
    case AV_PIX_FMT_YUVJ420P:
        copy = copy_plane8;
        break;
    case AV_PIX_FMT_YUV420P10LE:
        copy = copy_plane10;
        break;
    default:
        return 0;
    }
    int cw = (p->width + 1) / 2, ch = (p->height + 1) / 2;
    copy(base, p->luma_stride, frame->data[0], frame->linesize[0], p->width, p->height);
    copy(base + p->u, p->chroma_stride, frame->data[1], frame->linesize[1], cw, ch);
    copy(base + p->v, p->chroma_stride, frame->data[2], frame->linesize[2], cw, ch);
    return 1;
}

int tg_scale_picture(struct SwsContext *scaler, const AVFrame *frame, uint8_t *base, const struct tg_planes *p)
{
    uint8_t *dst[4] = {base, base + p->u, base + p->v, NULL};
    int strides[4] = {p->luma_stride, p->chroma_stride, p->chroma_stride, 0};
    return sws_scale(scaler, (const uint8_t *const *)frame->data, frame->linesize, 0, frame->height, dst, strides);
}

#define MEAN(type, zero, scale)                                              \
    for (int i = 0; i < n; i++) {                                            \
        float sum = 0;                                                       \
        for (int c = 0; c < channels; c++) {                                 \
            const type *s = (const type *)frame->extended_data[planar ? c : 0]; \
            sum += ((float)s[planar ? i : i * channels + c] - (zero)) * (float)(scale); \
        }                                                                    \
        dst[i] = sum / channels;                                             \
    }

int tg_mono(const AVFrame *frame, float *dst, int room)
{
    int n = frame->nb_samples, channels = frame->ch_layout.nb_channels;
    int planar = av_sample_fmt_is_planar(frame->format);
    if (n > room)
        n = room;
    if (channels < 1)
        return AVERROR_INVALIDDATA;
    switch (av_get_packed_sample_fmt(frame->format)) {
    case AV_SAMPLE_FMT_U8:
        MEAN(uint8_t, 128, 1.0 / 128)
        break;
    case AV_SAMPLE_FMT_S16:
        MEAN(int16_t, 0, 1.0 / 32768)
        break;
    case AV_SAMPLE_FMT_S32:
        MEAN(int32_t, 0, 1.0 / 2147483648.0)
        break;
    case AV_SAMPLE_FMT_S64:
        MEAN(int64_t, 0, 1.0 / 9223372036854775808.0)
        break;
    case AV_SAMPLE_FMT_FLT:
        MEAN(float, 0, 1)
        break;
    case AV_SAMPLE_FMT_DBL:
        MEAN(double, 0, 1)
        break;
    default:
        return AVERROR_PATCHWELCOME;
    }
    return n;
}

struct SwsContext *tg_scaler_new(int src_w, int src_h, int src_format,
                                 int dst_w, int dst_h, int dst_format, int flags,
                                 int src_matrix, int src_full,
                                 int dst_matrix, int dst_full,
                                 int chroma_x, int chroma_y)
{
    struct SwsContext *s = sws_alloc_context();
    if (!s)
        return NULL;
    av_opt_set_int(s, "srcw", src_w, 0);
    av_opt_set_int(s, "srch", src_h, 0);
    av_opt_set_int(s, "src_format", src_format, 0);
    av_opt_set_int(s, "dstw", dst_w, 0);
    av_opt_set_int(s, "dsth", dst_h, 0);
    av_opt_set_int(s, "dst_format", dst_format, 0);
    av_opt_set_int(s, "src_range", src_full, 0);
    av_opt_set_int(s, "dst_range", dst_full, 0);
    av_opt_set_int(s, "sws_flags", flags, 0);
    av_opt_set_int(s, "src_h_chr_pos", chroma_x, 0);
    av_opt_set_int(s, "src_v_chr_pos", chroma_y, 0);
    if (sws_init_context(s, NULL, NULL) < 0) {
        sws_freeContext(s);
        return NULL;
    }
    sws_setColorspaceDetails(s, sws_getCoefficients(src_matrix), src_full,
                             sws_getCoefficients(dst_matrix), dst_full,
                             0, 1 << 16, 1 << 16);
    return s;
}

int tg_scale_part(struct SwsContext *scaler, const uint8_t *base, const struct tg_planes *p,
                  int x, int y, int height, uint8_t *dst, int dst_stride)
{
    size_t chroma = (size_t)(y / 2) * p->chroma_stride + x / 2;
    const uint8_t *src[4] = {base + (size_t)y * p->luma_stride + x, base + p->u + chroma, base + p->v + chroma, NULL};
    int strides[4] = {p->luma_stride, p->chroma_stride, p->chroma_stride, 0};
    uint8_t *out[4] = {dst, NULL, NULL, NULL};
    int out_strides[4] = {dst_stride, 0, 0, 0};
    return sws_scale(scaler, src, strides, 0, height, out, out_strides);
}

int tg_scale_part_planes(struct SwsContext *scaler, const uint8_t *base, const struct tg_planes *p,
                         int x, int y, int height, uint8_t *dst, const struct tg_planes *to)
{
    size_t chroma = (size_t)(y / 2) * p->chroma_stride + x / 2;
    const uint8_t *src[4] = {base + (size_t)y * p->luma_stride + x, base + p->u + chroma, base + p->v + chroma, NULL};
    int strides[4] = {p->luma_stride, p->chroma_stride, p->chroma_stride, 0};
    uint8_t *out[4] = {dst, dst + to->u, dst + to->v, NULL};
    int out_strides[4] = {to->luma_stride, to->chroma_stride, to->chroma_stride, 0};
    return sws_scale(scaler, src, strides, 0, height, out, out_strides);
}

// The mean of 2 x 2 samples. One rounding goes up and one down, so that the mean level
// stays.
static void box_filter_plane(uint8_t *dst, int dst_stride, const uint8_t *src, int src_stride, int w, int h)
{
    for (int y = 0; y < h; y++) {
        const uint8_t *a = src + (ptrdiff_t)2 * y * src_stride, *b = a + src_stride;
        uint8_t *out = dst + (ptrdiff_t)y * dst_stride;
        int x = 0;
#ifdef __SSE2__
        const __m128i even = _mm_set1_epi16(0xff);
        for (; x + 16 <= w; x += 16) {
            __m128i half[2];
            for (int i = 0; i < 2; i++) {
                __m128i v = _mm_avg_epu8(_mm_loadu_si128((const __m128i *)(a + 2 * x) + i),
                                         _mm_loadu_si128((const __m128i *)(b + 2 * x) + i));
                half[i] = _mm_srli_epi16(_mm_add_epi16(_mm_and_si128(v, even), _mm_srli_epi16(v, 8)), 1);
            }
            _mm_storeu_si128((__m128i *)(out + x), _mm_packus_epi16(half[0], half[1]));
        }
#endif
        for (; x < w; x++)
            out[x] = (((a[2 * x] + b[2 * x] + 1) >> 1) + ((a[2 * x + 1] + b[2 * x + 1] + 1) >> 1)) >> 1;
    }
}

void tg_box_filter(const uint8_t *base, const struct tg_planes *p, int x, int y, int width, int height,
              int gray, uint8_t *dst, const struct tg_planes *to)
{
    box_filter_plane(dst, to->luma_stride, base + (size_t)y * p->luma_stride + x, p->luma_stride, width / 2, height / 2);
    if (gray)
        return;
    size_t chroma = (size_t)(y / 2) * p->chroma_stride + x / 2;
    box_filter_plane(dst + to->u, to->chroma_stride, base + p->u + chroma, p->chroma_stride, width / 4, height / 4);
    box_filter_plane(dst + to->v, to->chroma_stride, base + p->v + chroma, p->chroma_stride, width / 4, height / 4);
}

// Walks the source row by row and steps through the destination by dx per
// column; tiles of 16 rows keep both sides in the cache when rows become columns.
#define ROTATE(type)                                                            \
    for (int y0 = 0; y0 < h; y0 += 16)                                          \
        for (int x0 = 0; x0 < w; x0 += 16)                                      \
            for (int y = y0; y < h && y < y0 + 16; y++) {                       \
                const type *in = (const type *)(src + (ptrdiff_t)y * src_stride); \
                for (int x = x0; x < w && x < x0 + 16; x++)                     \
                    *(type *)(dst + first + x * dx + y * dy) = in[x];           \
            }

void tg_rotate(const uint8_t *src, int src_stride, int w, int h, int size,
             int xx, int xy, int yx, int yy, uint8_t *dst, int dst_stride)
{
    ptrdiff_t dx = (ptrdiff_t)xx * size + (ptrdiff_t)yx * dst_stride;
    ptrdiff_t dy = (ptrdiff_t)xy * size + (ptrdiff_t)yy * dst_stride;
    ptrdiff_t first = 0;
    if (dx < 0)
        first -= dx * (w - 1);
    if (dy < 0)
        first -= dy * (h - 1);
    if (size == 4) {
        ROTATE(uint32_t)
    } else {
        ROTATE(uint8_t)
    }
}

int tg_frame_from_rgba(struct SwsContext *scaler, AVFrame *dst,
                       const uint8_t *rgba, int stride)
{
    int err = av_frame_make_writable(dst);
    if (err < 0)
        return err;
    const uint8_t *src[4] = {rgba, NULL, NULL, NULL};
    int strides[4] = {stride, 0, 0, 0};
    return sws_scale(scaler, src, strides, 0, dst->height, dst->data, dst->linesize);
}

int tg_frame_from_samples(AVFrame *dst, const float *samples, int n)
{
    int err = av_frame_make_writable(dst);
    if (err < 0)
        return err;
    memcpy(dst->data[0], samples, (size_t)n * sizeof(float));
    dst->nb_samples = n;
    return 0;
}

int tg_set_metadata(void *format, const char *key, const char *value)
{
    return av_dict_set(&((AVFormatContext *)format)->metadata, key, value, 0);
}
