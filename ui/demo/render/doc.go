// Package render draws the demo clips: a small software renderer for one
// figure before a still background, as a phone on a stand would film it.
//
// A Stage holds what does not change while a camera films: the lens, the
// light, the painted background and several copies of it with sensor noise. A
// Renderer draws one frame after another on it; each goroutine needs its own.
// What is drawn comes as meshes of triangles in world coordinates, metres.
//
// Triangles are rasterised with a depth buffer at 2x2 samples a pixel. Colour
// is computed afterwards, once for each surface seen in a pixel, in linear
// light: sun with a shadow map, sky and ground light, a highlight. Whatever
// moves fast within an exposure is drawn at several instants and averaged.
//
// Image coordinates are those of the module: pixels of the upright picture,
// the centre of the first pixel is (0.5, 0.5). The same calls give the same
// bytes.
package render
