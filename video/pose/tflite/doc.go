// Package tflite runs small convolutional networks stored as TensorFlow Lite
// models: those of package pose, and no more operators than these need. Products of
// matrices are those of BLIS, a BLAS in C; all else is Go.
//
// Weights are made dense 32-bit floats once, by Load; whatever of the model
// does not lead to a wanted output is left away. All shapes are known then, so
// that a Run works in one block of memory of a known, bounded size. Bytes that are no model, or one that asks for more than
// this package does, are an error that wraps ErrModel.
//
// Tensors are laid out as in the format: row by row with the channels of a
// pixel together, one picture at a time. What an operator does is defined by
// the format's reference (LiteRT's documentation of its operators); the tests
// compare with its own runtime.
package tflite
