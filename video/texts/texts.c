#include "texts.h"

#include <string.h>

int tg_texts_chapter(void *format, int id, int64_t from, int64_t to, const char *title)
{
    AVFormatContext *f = format;
    AVChapter **all = av_realloc_array(f->chapters, f->nb_chapters + 1, sizeof(*all));
    if (!all)
        return AVERROR(ENOMEM);
    f->chapters = all;
    AVChapter *c = av_mallocz(sizeof(*c));
    if (!c)
        return AVERROR(ENOMEM);
    c->id = id;
    c->time_base = (AVRational){1, 1000};
    c->start = from;
    c->end = to;
    all[f->nb_chapters++] = c; // freed with the format
    return av_dict_set(&c->metadata, "title", title, 0);
}

// The description of samples that 3GPP TS 26.245, 5.16, asks for: white letters on nothing
// at the foot of the picture, in the first font of a list of one.
static const uint8_t description[] = {
    0, 0, 0, 0,             // display flags
    1, (uint8_t)-1,         // in the middle, at the bottom
    0, 0, 0, 0,             // background
    0, 0, 0, 0, 0, 0, 0, 0, // box
    0, 0, 0, 0, 0, 1, 0, 18, 0xff, 0xff, 0xff, 0xff, // all letters: font 1, plain, size 18, white
    0, 0, 0, 18, 'f', 't', 'a', 'b', 0, 1, 0, 1, 5, 'S', 'e', 'r', 'i', 'f',
};

int tg_texts_track(void *format)
{
    AVStream *s = avformat_new_stream(format, NULL);
    if (!s)
        return AVERROR(ENOMEM);
    s->time_base = (AVRational){1, 1000};
    s->codecpar->codec_type = AVMEDIA_TYPE_SUBTITLE;
    s->codecpar->codec_id = AV_CODEC_ID_MOV_TEXT;
    s->codecpar->extradata = av_mallocz(sizeof(description) + AV_INPUT_BUFFER_PADDING_SIZE);
    if (!s->codecpar->extradata)
        return AVERROR(ENOMEM);
    memcpy(s->codecpar->extradata, description, sizeof(description));
    s->codecpar->extradata_size = sizeof(description);
    return s->index;
}

int tg_texts_write(void *format, int track, int64_t from, int64_t to, const char *text)
{
    AVFormatContext *f = format;
    size_t n = strlen(text);
    AVPacket *p = av_packet_alloc();
    if (!p)
        return AVERROR(ENOMEM);
    int err = n > 0xffff ? AVERROR(EINVAL) : av_new_packet(p, (int)n + 2);
    if (err >= 0) {
        p->data[0] = n >> 8;
        p->data[1] = n & 0xff;
        memcpy(p->data + 2, text, n);
        p->stream_index = track;
        p->pts = p->dts = from;
        p->duration = to - from;
        p->flags = AV_PKT_FLAG_KEY;
        av_packet_rescale_ts(p, (AVRational){1, 1000}, f->streams[track]->time_base);
        err = av_interleaved_write_frame(f, p);
    }
    av_packet_free(&p);
    return err;
}
