"""A window that two files can be dragged from, by the GTK 3 library: the outside reference for the drop tests.

Prints "ready" when shown, and at the end of each drag "failed N" with GTK's reason, then "end".
Exits with 77 when GTK 3 is not installed.
"""
import ctypes
import sys

try:
    gtk = ctypes.CDLL("libgtk-3.so.0")
    gdk = ctypes.CDLL("libgdk-3.so.0")
    gobject = ctypes.CDLL("libgobject-2.0.so.0")
except OSError:
    sys.exit(77)

P, I, U = ctypes.c_void_p, ctypes.c_int, ctypes.c_uint
gtk.gtk_window_new.restype = P
gtk.gtk_window_move.argtypes = [P, I, I]
gtk.gtk_window_resize.argtypes = [P, I, I]
gtk.gtk_widget_show_all.argtypes = [P]
gtk.gtk_drag_source_set.argtypes = [P, I, P, I, I]
gtk.gtk_drag_source_add_uri_targets.argtypes = [P]
gtk.gtk_selection_data_set_uris.argtypes = [P, P]
gobject.g_signal_connect_data.argtypes = [P, ctypes.c_char_p, P, P, P, I]

URIS = (ctypes.c_char_p * 3)(b"file:///clips/Mara%20face-on.mp4", b"file:///clips/Ruderm%C3%B6we%20%C3%BCbt.mov", None)


@ctypes.CFUNCTYPE(None, P, P, P, U, U, P)
def data_get(widget, context, selection, info, time, user):
    gtk.gtk_selection_data_set_uris(selection, URIS)


@ctypes.CFUNCTYPE(I, P, P, I, P)
def failed(widget, context, result, user):
    print("failed", result, flush=True)
    return 1  # no flying back of the icon


@ctypes.CFUNCTYPE(None, P, P, P)
def end(widget, context, user):
    print("end", flush=True)


@ctypes.CFUNCTYPE(I, P, P, P)
def mapped(widget, event, user):
    print("ready", flush=True)
    return 0


if not gtk.gtk_init_check(None, None):
    sys.exit("no display")
window = gtk.gtk_window_new(0)
for name, call in ((b"drag-data-get", data_get), (b"drag-failed", failed), (b"drag-end", end), (b"map-event", mapped)):
    gobject.g_signal_connect_data(window, name, ctypes.cast(call, P), None, None, 0)
gtk.gtk_drag_source_set(window, 1 << 8, None, 0, 1 << 1)  # first mouse button, copy
gtk.gtk_drag_source_add_uri_targets(window)
gtk.gtk_window_move(window, 0, 0)
gtk.gtk_window_resize(window, 80, 80)
gtk.gtk_widget_show_all(window)
gtk.gtk_main()
