// Writing a clip into an open file.
#include "native.h"
#include "system/system.h"

#include <errno.h>

enum { BLOCK = 32 << 10 };

struct output {
    int fd;
    int64_t at;
};

static int write_block(void *opaque, uint8_t *buf, int size)
{
    struct output *out = opaque;
    for (int done = 0; done < size;) {
        int64_t n = tg_write_at(out->fd, buf + done, size - done, out->at);
        if (n == -EINTR)
            continue;
        if (n < 0)
            return AVERROR((int)-n);
        done += n;
        out->at += n;
    }
    return size;
}

static int read_block(void *opaque, uint8_t *buf, int size)
{
    struct output *out = opaque;
    int64_t n;
    do
        n = tg_read_at(out->fd, buf, size, out->at);
    while (n == -EINTR);
    if (n < 0)
        return AVERROR((int)-n);
    out->at += n;
    return n ? (int)n : AVERROR_EOF;
}

static int64_t move(void *opaque, int64_t offset, int whence)
{
    struct output *out = opaque;
    if ((whence & ~AVSEEK_FORCE) != SEEK_SET || offset < 0)
        return AVERROR(EINVAL);
    return out->at = offset;
}

static AVIOContext *io_of(int fd, int write)
{
    struct output *out = av_mallocz(sizeof(*out));
    uint8_t *buf = av_malloc(BLOCK);
    AVIOContext *io = out && buf ? avio_alloc_context(buf, BLOCK, write, out, read_block, write_block, move) : NULL;
    if (!io) {
        av_free(out);
        av_free(buf);
        return NULL;
    }
    out->fd = fd;
    return io;
}

static int close_io(AVFormatContext *format, AVIOContext *io)
{
    int err = io->error;
    av_free(io->opaque);
    av_freep(&io->buffer);
    avio_context_free(&io);
    return err;
}

// The muxer reads again what it has written, to move it behind the index.
static int open_written(AVFormatContext *format, AVIOContext **io, const char *url, int flags, AVDictionary **options)
{
    if (flags & AVIO_FLAG_WRITE)
        return AVERROR(EPERM);
    const struct output *out = format->pb->opaque;
    *io = io_of(out->fd, 0);
    return *io ? 0 : AVERROR(ENOMEM);
}

int tg_write_to(void *format, int fd)
{
    AVFormatContext *f = format;
    f->pb = io_of(fd, 1);
    if (!f->pb)
        return AVERROR(ENOMEM);
    f->flags |= AVFMT_FLAG_CUSTOM_IO;
    f->io_open = open_written;
    f->io_close2 = close_io;
    return 0;
}

int tg_close_output(void *format)
{
    AVFormatContext *f = format;
    if (!f->pb)
        return 0;
    avio_flush(f->pb);
    int err = close_io(f, f->pb);
    f->pb = NULL;
    return err;
}
