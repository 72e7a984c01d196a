// The lists of devices, which the Go binding does not offer.
#ifndef TURNGAUGE_MICROPHONE_NATIVE_H
#define TURNGAUGE_MICROPHONE_NATIVE_H

#include <libavdevice/avdevice.h>

// The devices that a system ("pulse", "alsa") records from, or a negative error; to be
// freed by avdevice_free_list_devices.
int tg_sources(const char *system, AVDeviceInfoList **list);
// One of them.
const char *tg_source_id(const AVDeviceInfoList *list, int i);
const char *tg_source_name(const AVDeviceInfoList *list, int i);

#endif
