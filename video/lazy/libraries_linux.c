#include <dlfcn.h>
#include <libavformat/avformat.h>
#include <libavutil/log.h>
#include <libavutil/macros.h>

// Hidden: the linker binds the program's own calls to these, while the libraries among
// themselves go on calling their own.
#pragma GCC visibility push(hidden)
#include <libavdevice/avdevice.h>
#include <libavfilter/avfilter.h>
#include <libavfilter/buffersink.h>
#include <libavfilter/buffersrc.h>
#pragma GCC visibility pop

// symbol finds a function in a library, loading it at the first call, or returns NULL.
// Loading it twice at once does no harm: the loader counts.
static void *symbol(const char *library, const char *name)
{
    void *handle = dlopen(library, RTLD_LAZY | RTLD_LOCAL);
    void *found = handle ? dlsym(handle, name) : NULL;
    if (!found)
        av_log(NULL, AV_LOG_ERROR, "%s\n", dlerror());
    return found;
}

#define DEVICE "libavdevice.so." AV_STRINGIFY(LIBAVDEVICE_VERSION_MAJOR)
#define FILTER "libavfilter.so." AV_STRINGIFY(LIBAVFILTER_VERSION_MAJOR)

// FORWARD defines a function that calls that of a library, or returns what failing means.
#define FORWARD(library, type, failed, name, parameters, arguments) \
    type name parameters                                            \
    {                                                               \
        type(*f) parameters = symbol(library, #name);               \
        return f ? f arguments : (type)(failed);                    \
    }

#define FAILS AVERROR(ENOSYS)
#define NOTHING 0

FORWARD(DEVICE, void, NOTHING, avdevice_register_all, (void), ())
FORWARD(DEVICE, void, NOTHING, avdevice_free_list_devices, (AVDeviceInfoList **list), (list))
FORWARD(DEVICE, int, FAILS, avdevice_list_input_sources,
        (const AVInputFormat *device, const char *name, AVDictionary *options, AVDeviceInfoList **list),
        (device, name, options, list))

FORWARD(FILTER, const AVFilter *, NULL, avfilter_get_by_name, (const char *name), (name))
FORWARD(FILTER, void, NOTHING, avfilter_free, (AVFilterContext *filter), (filter))
FORWARD(FILTER, AVFilterGraph *, NULL, avfilter_graph_alloc, (void), ())
FORWARD(FILTER, void, NOTHING, avfilter_graph_free, (AVFilterGraph **graph), (graph))
FORWARD(FILTER, int, FAILS, avfilter_graph_config, (AVFilterGraph *graph, void *log), (graph, log))
FORWARD(FILTER, char *, NULL, avfilter_graph_dump, (AVFilterGraph *graph, const char *options), (graph, options))
FORWARD(FILTER, int, FAILS, avfilter_graph_create_filter,
        (AVFilterContext **filter, const AVFilter *kind, const char *name, const char *arguments, void *opaque, AVFilterGraph *graph),
        (filter, kind, name, arguments, opaque, graph))
FORWARD(FILTER, int, FAILS, avfilter_graph_parse_ptr,
        (AVFilterGraph *graph, const char *text, AVFilterInOut **inputs, AVFilterInOut **outputs, void *log),
        (graph, text, inputs, outputs, log))
FORWARD(FILTER, int, FAILS, avfilter_graph_send_command,
        (AVFilterGraph *graph, const char *target, const char *command, const char *argument, char *answer, int length, int flags),
        (graph, target, command, argument, answer, length, flags))
FORWARD(FILTER, AVFilterInOut *, NULL, avfilter_inout_alloc, (void), ())
FORWARD(FILTER, void, NOTHING, avfilter_inout_free, (AVFilterInOut **list), (list))
FORWARD(FILTER, int, FAILS, av_buffersrc_add_frame_flags, (AVFilterContext *filter, AVFrame *frame, int flags), (filter, frame, flags))
FORWARD(FILTER, int, FAILS, av_buffersink_get_frame_flags, (AVFilterContext *filter, AVFrame *frame, int flags), (filter, frame, flags))
