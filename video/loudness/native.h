#ifndef TURNGAUGE_LOUDNESS_NATIVE_H
#define TURNGAUGE_LOUDNESS_NATIVE_H

#include <stdint.h>

// Sends n samples of one channel, at a rate, through a chain of FFmpeg's filters, and
// returns how many samples came out, at the same rate, or a negative error. They lie in
// *out, to be freed by free(); where out is NULL they are dropped. The chain's last words on
// loudness (ebur128=metadata=1:peak=true) are *lufs and *peak, of amplitude 1 at full
// scale; they are left alone where it says none.
int64_t tg_filter(const char *chain, const float *in, int64_t n, int rate, float **out, double *lufs, double *peak);

#endif
