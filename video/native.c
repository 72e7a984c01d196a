#include "native.h"

#include <libavutil/frame.h>
#include <libavutil/opt.h>
#include <string.h>

struct SwsContext *tg_scaler_new(int src_w, int src_h, int src_format,
                                 int dst_w, int dst_h, int dst_format, int flags,
                                 int src_matrix, int src_full,
                                 int dst_matrix, int dst_full)
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
    if (sws_init_context(s, NULL, NULL) < 0) {
        sws_freeContext(s);
        return NULL;
    }
    sws_setColorspaceDetails(s, sws_getCoefficients(src_matrix), src_full,
                             sws_getCoefficients(dst_matrix), dst_full,
                             0, 1 << 16, 1 << 16);
    return s;
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
