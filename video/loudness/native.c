#include "native.h"

#include <libavfilter/avfilter.h>
#include <libavfilter/buffersink.h>
#include <libavfilter/buffersrc.h>
#include <libavutil/channel_layout.h>
#include <libavutil/frame.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

// A chain between a source and a sink.
typedef struct Chain {
    AVFilterGraph *graph;
    AVFilterContext *source, *sink;
} Chain;

static int open_chain(Chain *c, const char *text, int rate)
{
    char arguments[128], whole[512];
    AVFilterInOut *start = NULL, *end = NULL;
    int err = AVERROR(ENOMEM);
    snprintf(arguments, sizeof arguments, "sample_rate=%d:sample_fmt=flt:channel_layout=mono:time_base=1/%d", rate, rate);
    snprintf(whole, sizeof whole, "[in]%s,aformat=sample_fmts=flt:sample_rates=%d:channel_layouts=mono[out]", text, rate);
    if (!(c->graph = avfilter_graph_alloc()))
        return err;
    if ((err = avfilter_graph_create_filter(&c->source, avfilter_get_by_name("abuffer"), "in", arguments, NULL, c->graph)) < 0 ||
        (err = avfilter_graph_create_filter(&c->sink, avfilter_get_by_name("abuffersink"), "out", NULL, NULL, c->graph)) < 0)
        return err;
    start = avfilter_inout_alloc();
    end = avfilter_inout_alloc();
    if (start && end) {
        *start = (AVFilterInOut){.name = av_strdup("in"), .filter_ctx = c->source};
        *end = (AVFilterInOut){.name = av_strdup("out"), .filter_ctx = c->sink};
        err = avfilter_graph_parse_ptr(c->graph, whole, &end, &start, NULL);
    }
    avfilter_inout_free(&start);
    avfilter_inout_free(&end);
    return err < 0 ? err : avfilter_graph_config(c->graph, NULL);
}

// Hands the next samples to the source, or the end where there are none.
static int feed(Chain *c, AVFrame *frame, const float *in, int count, int64_t at, int rate)
{
    int err;
    if (!count)
        return av_buffersrc_add_frame_flags(c->source, NULL, 0);
    frame->format = AV_SAMPLE_FMT_FLT;
    frame->sample_rate = rate;
    frame->nb_samples = count;
    frame->pts = at;
    av_channel_layout_default(&frame->ch_layout, 1);
    if ((err = av_frame_get_buffer(frame, 0)) < 0)
        return err;
    memcpy(frame->data[0], in + at, count * sizeof *in);
    return av_buffersrc_add_frame_flags(c->source, frame, 0); // takes what the frame holds
}

static void said(const AVFrame *frame, const char *key, double *value)
{
    const AVDictionaryEntry *e = av_dict_get(frame->metadata, key, NULL, 0);
    if (e)
        *value = strtod(e->value, NULL);
}

// Takes what has come out; the number of all samples so far, or an error.
static int64_t take(Chain *c, AVFrame *frame, float **out, int64_t have, double *lufs, double *peak)
{
    int err;
    while ((err = av_buffersink_get_frame_flags(c->sink, frame, 0)) >= 0) {
        said(frame, "lavfi.r128.I", lufs);
        said(frame, "lavfi.r128.true_peak", peak);
        if (out) {
            float *more = realloc(*out, (have + frame->nb_samples) * sizeof **out);
            if (!more) {
                av_frame_unref(frame);
                return AVERROR(ENOMEM);
            }
            *out = more;
            memcpy(more + have, frame->data[0], frame->nb_samples * sizeof **out);
        }
        have += frame->nb_samples;
        av_frame_unref(frame);
    }
    return err == AVERROR(EAGAIN) || err == AVERROR_EOF ? have : err;
}

int64_t tg_filter(const char *chain, const float *in, int64_t n, int rate, float **out, double *lufs, double *peak)
{
    Chain c = {0};
    AVFrame *frame = av_frame_alloc();
    int64_t have = frame ? open_chain(&c, chain, rate) : AVERROR(ENOMEM);
    const int most = rate / 10;
    if (have > 0)
        have = 0;
    for (int64_t at = 0; have >= 0 && at <= n; at += most) {
        int64_t left = n - at;
        int err = feed(&c, frame, in, left > most ? most : (int)left, at, rate);
        if (err >= 0 && left > 0 && left <= most) // these were the last
            err = feed(&c, frame, in, 0, n, rate);
        have = err < 0 ? err : take(&c, frame, out, have, lufs, peak);
        if (left <= most)
            break;
    }
    av_frame_free(&frame);
    avfilter_graph_free(&c.graph);
    return have;
}
