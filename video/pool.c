// Memory for pictures. Decoders write straight into it, so that keeping a
// picture costs no copy. It is cut from large arenas that start on a huge
// page: fresh memory is then filled with few page faults, which otherwise take
// longer than decoding.
#include "native.h"

#include <libavutil/imgutils.h>
#include <libavutil/pixdesc.h>
#include <pthread.h>
#include <stdlib.h>
#include <string.h>

#if defined(__unix__) || defined(__APPLE__)
#include <sys/mman.h>
#define HAVE_MAPPING 1
#endif

enum {
    HUGE = 2 << 20,
    ARENA = 64 << 20,
    KEEP = 6,   // unused slots a pool keeps for its decoder
    ALIGN = 64, // of planes
    SLACK = 128 // vector code may read this far past a plane
};

struct slot {
    struct tg_pool *pool;
    struct slot *next;
    uint8_t *data;
    size_t size;
};

struct tg_pool {
    size_t page; // bytes; what memory is given back in
    pthread_mutex_t lock;
    struct slot *free;
    int unused;
    int users; // slots in use, and the owner
};

#ifdef HAVE_MAPPING
static pthread_mutex_t arena_lock = PTHREAD_MUTEX_INITIALIZER;
static uint8_t *arena;
static size_t arena_left;

static uint8_t *reserve(size_t size)
{
    uint8_t *got = NULL;
    pthread_mutex_lock(&arena_lock);
    if (arena_left < size) {
        size_t want = size > ARENA ? (size + HUGE - 1) / HUGE * HUGE : ARENA;
        uint8_t *raw = mmap(NULL, want + HUGE, PROT_READ | PROT_WRITE, MAP_ANON | MAP_PRIVATE, -1, 0);
        if (raw == MAP_FAILED)
            goto done;
        size_t ahead = (HUGE - (uintptr_t)raw % HUGE) % HUGE;
        if (ahead)
            munmap(raw, ahead);
        if (HUGE - ahead)
            munmap(raw + ahead + want, HUGE - ahead);
        if (arena_left)
            munmap(arena, arena_left);
        arena = raw + ahead;
        arena_left = want;
#ifdef MADV_HUGEPAGE
        madvise(arena, want, MADV_HUGEPAGE); // only a wish
#endif
    }
    got = arena;
    arena += size;
    arena_left -= size;
done:
    pthread_mutex_unlock(&arena_lock);
    return got;
}

static void unreserve(uint8_t *data, size_t size) { munmap(data, size); }
#else
static uint8_t *reserve(size_t size) { return av_mallocz(size); }
static void unreserve(uint8_t *data, size_t size) { av_free(data); }
#endif

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

static void discard(struct slot *s)
{
    unreserve(s->data, s->size);
    free(s);
}

// One user fewer; the pool goes with the last.
static void leave(struct tg_pool *p)
{
    int last = --p->users == 0;
    pthread_mutex_unlock(&p->lock);
    if (last) {
        pthread_mutex_destroy(&p->lock);
        free(p);
    }
}

void tg_pool_close(struct tg_pool *p)
{
    pthread_mutex_lock(&p->lock);
    while (p->free) {
        struct slot *s = p->free;
        p->free = s->next;
        discard(s);
    }
    p->unused = KEEP; // what comes back later goes to the system
    leave(p);
}

static void give_back(void *opaque, uint8_t *data)
{
    struct slot *s = opaque;
    struct tg_pool *p = s->pool;
    pthread_mutex_lock(&p->lock);
    if (p->unused < KEEP) {
        s->next = p->free;
        p->free = s;
        p->unused++;
    } else {
        discard(s);
    }
    leave(p);
}

AVBufferRef *tg_pool_take(struct tg_pool *p, size_t size)
{
    size = (size + p->page - 1) / p->page * p->page;
    pthread_mutex_lock(&p->lock);
    struct slot *s, **link = &p->free;
    while (*link && (*link)->size != size)
        link = &(*link)->next;
    s = *link;
    if (s) {
        *link = s->next;
        p->unused--;
    }
    p->users++;
    pthread_mutex_unlock(&p->lock);
    if (!s) {
        s = calloc(1, sizeof(*s));
        uint8_t *data = s ? reserve(size) : NULL;
        if (!data) {
            free(s);
            pthread_mutex_lock(&p->lock);
            leave(p);
            return NULL;
        }
        *s = (struct slot){p, NULL, data, size};
    }
    AVBufferRef *ref = av_buffer_create(s->data, s->size, give_back, s, 0);
    if (!ref)
        give_back(s, s->data);
    return ref;
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
