#include "native.h"

int tg_sources(const char *system, AVDeviceInfoList **list)
{
    const AVInputFormat *format = av_find_input_format(system);
    if (!format)
        return AVERROR_DEMUXER_NOT_FOUND;
    return avdevice_list_input_sources((AVInputFormat *)format, NULL, NULL, list);
}

const char *tg_source_id(const AVDeviceInfoList *list, int i) { return list->devices[i]->device_name; }

const char *tg_source_name(const AVDeviceInfoList *list, int i) { return list->devices[i]->device_description; }
