// Reading a clip that is handed over as an open file.
#include "native.h"
#include "system/system.h"

#include <errno.h>

enum { BLOCK = 32 << 10 }; // as FFmpeg reads files

struct input {
    AVFormatContext *format;
    int fd;
    int64_t at;
};

static int stopped(const struct input *in)
{
    const AVIOInterruptCB *cb = &in->format->interrupt_callback;
    return cb->callback && cb->callback(cb->opaque);
}

static int read_block(void *opaque, uint8_t *buf, int size)
{
    struct input *in = opaque;
    int64_t n;
    do {
        if (stopped(in))
            return AVERROR_EXIT;
        n = tg_read_at(in->fd, buf, size, in->at);
    } while (n == -EINTR);
    if (n < 0)
        return AVERROR((int)-n);
    in->at += n;
    return n ? (int)n : AVERROR_EOF;
}

static int64_t move(void *opaque, int64_t offset, int whence)
{
    struct input *in = opaque;
    int64_t size = 0;
    if (whence & AVSEEK_SIZE || (whence & ~AVSEEK_FORCE) == SEEK_END) {
        size = tg_file_size(in->fd);
        if (size < 0)
            return AVERROR((int)-size);
    }
    if (whence & AVSEEK_SIZE)
        return size;
    switch (whence & ~AVSEEK_FORCE) {
    case SEEK_CUR:
        offset += in->at;
        break;
    case SEEK_END:
        offset += size;
        break;
    }
    if (offset < 0)
        return AVERROR(EINVAL);
    return in->at = offset;
}

static int open_no_other(AVFormatContext *format, AVIOContext **io, const char *url, int flags, AVDictionary **options)
{
    return AVERROR(EPERM);
}

AVIOContext *tg_read_from(void *format, int fd)
{
    struct input *in = av_mallocz(sizeof(*in));
    uint8_t *buf = av_malloc(BLOCK);
    AVIOContext *io = in && buf ? avio_alloc_context(buf, BLOCK, 0, in, read_block, NULL, move) : NULL;
    if (!io) {
        av_free(in);
        av_free(buf);
        return NULL;
    }
    *in = (struct input){format, fd, 0};
    in->format->pb = io;
    in->format->io_open = open_no_other;
    return io;
}

void tg_close_input(AVIOContext *io)
{
    av_free(io->opaque);
    av_freep(&io->buffer);
    avio_context_free(&io);
}
