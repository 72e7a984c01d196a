#include "native.h"

#include <libavutil/frame.h>
#include <libavutil/imgutils.h>
#include <string.h>

int tg_own(AVFrame *frame) { return av_frame_make_writable(frame); }

static void put_plane(uint8_t *dst, int dst_stride, const uint8_t *src, int src_stride, int w, int h,
                      int xx, int xy, int yx, int yy)
{
    if (xx == 1 && yy == 1)
        av_image_copy_plane(dst, dst_stride, src, src_stride, w, h);
    else
        tg_rotate(src, src_stride, w, h, 1, xx, xy, yx, yy, dst, dst_stride);
}

void tg_put(AVFrame *to, int x, int y, const uint8_t *base, const struct tg_planes *p,
            int xx, int xy, int yx, int yy)
{
    int w = p->width, h = p->height;
    ptrdiff_t luma = (ptrdiff_t)y * to->linesize[0] + x, chroma = (ptrdiff_t)(y / 2) * to->linesize[1] + x / 2;
    put_plane(to->data[0] + luma, to->linesize[0], base, p->luma_stride, w, h, xx, xy, yx, yy);
    put_plane(to->data[1] + chroma, to->linesize[1], base + p->u, p->chroma_stride, w / 2, h / 2, xx, xy, yx, yy);
    put_plane(to->data[2] + chroma, to->linesize[2], base + p->v, p->chroma_stride, w / 2, h / 2, xx, xy, yx, yy);
}

void tg_fill(AVFrame *to, int x, int y, int w, int h, int luma, int u, int v)
{
    for (int i = y; i < y + h; i++)
        memset(to->data[0] + (ptrdiff_t)i * to->linesize[0] + x, luma, w);
    for (int i = y / 2; i < (y + h) / 2; i++) {
        memset(to->data[1] + (ptrdiff_t)i * to->linesize[1] + x / 2, u, w / 2);
        memset(to->data[2] + (ptrdiff_t)i * to->linesize[2] + x / 2, v, w / 2);
    }
}

// Rec. ITU-R BT.709-6: luma is 0.2126 R + 0.7152 G + 0.0722 B, the differences
// are (B - Y) / 1.8556 and (R - Y) / 1.5748; 8 bits take 219 and 224 levels for
// them (3.2 to 3.4). Here in 1/65536 of a level of red, green and blue of 255.
enum {
    YR = 11966, YG = 40254, YB = 4064,
    UR = -6596, UG = -22189, UB = 28785,
    VR = 28785, VG = -26145, VB = -2640
};

struct sum {
    int r, g, b, a;
};

// Lays one pixel over a luma sample and adds it to the sum of its four.
static void over_luma(uint8_t *luma, const uint8_t *rgba, struct sum *s)
{
    int a = rgba[3];
    if (!a)
        return;
    int r = rgba[0], g = rgba[1], b = rgba[2];
    s->r += r, s->g += g, s->b += b, s->a += a;
    int y = (*luma * (255 - a) + 16 * a) * 257 + YR * r + YG * g + YB * b; // 257 is 65536 / 255
    y = (y + 32768) >> 16;
    *luma = y > 255 ? 255 : y;
}

static void over_chroma(uint8_t *chroma, const struct sum *s, int kr, int kg, int kb)
{
    // Four pixels share the sample.
    int c = (*chroma * (4 * 255 - s->a) + 128 * s->a) * 257 + kr * s->r + kg * s->g + kb * s->b;
    c = (c + 2 * 65536) >> 18;
    *chroma = c < 0 ? 0 : c > 255 ? 255 : c;
}

void tg_over(AVFrame *to, int x, int y, const uint8_t *rgba, int stride, int w, int h)
{
    for (int i = 0; i < h; i += 2) {
        const uint8_t *top = rgba + (ptrdiff_t)i * stride, *below = i + 1 < h ? top + stride : NULL;
        uint8_t *luma = to->data[0] + (ptrdiff_t)(y + i) * to->linesize[0] + x;
        uint8_t *under = luma + to->linesize[0];
        ptrdiff_t chroma = (ptrdiff_t)((y + i) / 2) * to->linesize[1] + x / 2;
        for (int k = 0; k < w; k += 2) {
            int two = k + 1 < w;
            if (two) { // most of a drawing is empty
                uint64_t a, b = 0;
                memcpy(&a, top + 4 * k, 8);
                if (below)
                    memcpy(&b, below + 4 * k, 8);
                if (!(a | b))
                    continue;
            }
            struct sum s = {0};
            over_luma(luma + k, top + 4 * k, &s);
            if (two)
                over_luma(luma + k + 1, top + 4 * k + 4, &s);
            if (below) {
                over_luma(under + k, below + 4 * k, &s);
                if (two)
                    over_luma(under + k + 1, below + 4 * k + 4, &s);
            }
            over_chroma(to->data[1] + chroma + k / 2, &s, UR, UG, UB);
            over_chroma(to->data[2] + chroma + k / 2, &s, VR, VG, VB);
        }
    }
}
