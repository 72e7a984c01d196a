// Memory for pictures, which the process that shows them maps too. Decoders write
// straight into it, so that keeping a picture costs no copy. It is cut from large
// arenas that start on a huge page, where the system has those for shared memory.
#include "native.h"
#include "system/system.h"

#include <libavutil/imgutils.h>
#include <libavutil/pixdesc.h>
#include <pthread.h>
#include <stdlib.h>
#include <string.h>

enum {
    HUGE_PAGE = 2 << 20,
    ARENA = 64 << 20,
    KEEP = 6,   // unused slots whose memory a pool keeps for its decoder
    ALIGN = 64, // of planes
    SLACK = 128 // vector code may read this far past a plane
};

struct arena {
    struct arena *next;
    uint8_t *base;
    size_t size, used;
    int number;
    int fd; // -1 once it was taken
};

struct slot {
    struct tg_pool *pool;
    struct arena *arena;
    struct slot *next;
    uint8_t *data;
    size_t size;
};

struct tg_pool {
    size_t page; // bytes; what memory is given back in
    pthread_mutex_t lock;
    struct slot *free; // those with memory first
    int unused;        // of them with memory
    int users;         // slots in use, and the owner
    struct arena *arenas; // the one that is being cut first
};

// Cuts memory for a slot; the pool's lock is held.
static int reserve(struct tg_pool *p, struct slot *s)
{
    if (!p->arenas || p->arenas->size - p->arenas->used < s->size) {
        struct arena *a = calloc(1, sizeof(*a));
        if (!a)
            return -1;
        a->size = s->size > ARENA ? (s->size + HUGE_PAGE - 1) / HUGE_PAGE * HUGE_PAGE : ARENA;
        if (tg_map_shared(a->size, HUGE_PAGE, &a->base, &a->fd)) {
            free(a);
            return -1;
        }
        a->number = p->arenas ? p->arenas->number + 1 : 0;
        a->next = p->arenas;
        p->arenas = a;
    }
    s->arena = p->arenas;
    s->data = s->arena->base + s->arena->used;
    s->arena->used += s->size;
    return 0;
}

struct tg_pool *tg_pool_new(size_t page)
{
    struct tg_pool *p = calloc(1, sizeof(*p));
    if (!p)
        return NULL;
    pthread_mutex_init(&p->lock, NULL);
    p->page = page;
    p->users = 1;
    return p;
}

// One user fewer; the pool goes with the last.
static void leave(struct tg_pool *p)
{
    int last = --p->users == 0;
    pthread_mutex_unlock(&p->lock);
    if (!last)
        return;
    while (p->free) {
        struct slot *s = p->free;
        p->free = s->next;
        free(s);
    }
    while (p->arenas) {
        struct arena *a = p->arenas;
        p->arenas = a->next;
        tg_unmap_shared(a->base, a->size);
        if (a->fd >= 0)
            tg_close_file(a->fd);
        free(a);
    }
    pthread_mutex_destroy(&p->lock);
    free(p);
}

void tg_pool_close(struct tg_pool *p)
{
    pthread_mutex_lock(&p->lock);
    leave(p);
}

static void give_back(void *opaque, uint8_t *data)
{
    struct slot *s = opaque, **link = &s->pool->free;
    struct tg_pool *p = s->pool;
    pthread_mutex_lock(&p->lock);
    if (p->unused < KEEP) {
        p->unused++;
    } else {
        tg_forget(data, s->size); // its place is used again later
        while (*link)
            link = &(*link)->next;
    }
    s->next = *link;
    *link = s;
    leave(p);
}

AVBufferRef *tg_pool_take(struct tg_pool *p, size_t size)
{
    size = (size + p->page - 1) / p->page * p->page;
    pthread_mutex_lock(&p->lock);
    struct slot *s, **link = &p->free;
    int before = 0; // slots with memory that are passed over
    while (*link && (*link)->size != size) {
        link = &(*link)->next;
        before++;
    }
    s = *link;
    if (s) {
        *link = s->next;
        if (before < p->unused)
            p->unused--;
    } else if ((s = calloc(1, sizeof(*s)))) {
        s->pool = p;
        s->size = size;
        if (reserve(p, s)) {
            free(s);
            s = NULL;
        }
    }
    if (s)
        p->users++;
    pthread_mutex_unlock(&p->lock);
    if (!s)
        return NULL;
    AVBufferRef *ref = av_buffer_create(s->data, s->size, give_back, s, 0);
    if (!ref)
        give_back(s, s->data);
    return ref;
}

void tg_pool_place(const AVBufferRef *ref, int *arena, int64_t *at)
{
    const struct slot *s = av_buffer_get_opaque(ref);
    *arena = s->arena->number;
    *at = s->data - s->arena->base;
}

int tg_pool_take_arena(struct tg_pool *p, int number)
{
    int fd = -1;
    pthread_mutex_lock(&p->lock);
    for (struct arena *a = p->arenas; a; a = a->next)
        if (a->number == number) {
            fd = a->fd;
            a->fd = -1;
        }
    pthread_mutex_unlock(&p->lock);
    return fd;
}

// The decoder's request for a picture's memory: one slot for all its planes,
// sized as avcodec_default_get_buffer2 does.
static int get_buffer(AVCodecContext *codec, AVFrame *frame, int flags)
{
    const AVPixFmtDescriptor *d = av_pix_fmt_desc_get(frame->format);
    if (!d || d->flags & (AV_PIX_FMT_FLAG_HWACCEL | AV_PIX_FMT_FLAG_PAL))
        return avcodec_default_get_buffer2(codec, frame, flags);
    int w = frame->width, h = frame->height;
    int align[AV_NUM_DATA_POINTERS];
    avcodec_align_dimensions2(codec, &w, &h, align);
    int unaligned = 0;
    do {
        int err = av_image_fill_linesizes(frame->linesize, frame->format, w);
        if (err < 0)
            return err;
        w += w & ~(w - 1);
        unaligned = 0;
        for (int i = 0; i < 4; i++)
            unaligned |= frame->linesize[i] % (align[i] > 0 ? align[i] : 1);
    } while (unaligned);
    ptrdiff_t strides[4];
    size_t sizes[4], at[4], total = 0;
    for (int i = 0; i < 4; i++)
        strides[i] = frame->linesize[i];
    int err = av_image_fill_plane_sizes(sizes, frame->format, h, strides);
    if (err < 0)
        return err;
    for (int i = 0; i < 4; i++) {
        at[i] = total;
        if (sizes[i])
            total += (sizes[i] + SLACK + ALIGN - 1) / ALIGN * ALIGN;
    }
    frame->buf[0] = tg_pool_take(codec->opaque, total);
    if (!frame->buf[0])
        return AVERROR(ENOMEM);
    memset(frame->data, 0, sizeof(frame->data));
    for (int i = 0; i < 4; i++)
        if (sizes[i])
            frame->data[i] = frame->buf[0]->data + at[i];
    frame->extended_data = frame->data;
    return 0;
}

void tg_pool_serve(struct tg_pool *p, void *context)
{
    AVCodecContext *codec = context;
    codec->opaque = p;
    codec->get_buffer2 = get_buffer;
#if LIBAVCODEC_VERSION_MAJOR < 60
#pragma GCC diagnostic push
#pragma GCC diagnostic ignored "-Wdeprecated-declarations"
    codec->thread_safe_callbacks = 1;
#pragma GCC diagnostic pop
#endif
}

AVBufferRef *tg_hold_picture(void *context, const AVFrame *frame, struct tg_planes *p)
{
    AVCodecContext *codec = context;
    const AVBufferRef *buf = frame->buf[0];
    if (codec->get_buffer2 != get_buffer || !(codec->codec->capabilities & AV_CODEC_CAP_DR1) ||
        !buf || frame->buf[1] || frame->width != p->width || frame->height != p->height ||
        (frame->format != AV_PIX_FMT_YUV420P && frame->format != AV_PIX_FMT_YUVJ420P) ||
        frame->linesize[0] <= 0 || frame->linesize[1] <= 0 || frame->linesize[1] != frame->linesize[2] ||
        frame->data[0] < buf->data || frame->data[1] <= frame->data[0] || frame->data[2] <= frame->data[0])
        return NULL;
    p->luma_stride = frame->linesize[0];
    p->chroma_stride = frame->linesize[1];
    p->u = frame->data[1] - frame->data[0];
    p->v = frame->data[2] - frame->data[0];
    return av_buffer_ref(buf);
}
