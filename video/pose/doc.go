// Package pose finds the joints of a golfer in a picture with two small
// networks: one that finds people in the whole picture, and one that finds 33
// landmarks of one person in the part where he stands (Bazarevsky et al. 2020,
// "BlazePose: On-device real-time body pose tracking", arXiv:2006.10204). Both
// are part of the program (folder models, with their licence) and are run by
// package tflite; how pictures go in and landmarks come out follows the
// MediaPipe graphs pose_detection and pose_landmark.
//
// What is found is what the network learned from hand-marked photographs, not
// anatomy: a joint may lie centimetres off to one side, and which foot is the
// left one can be mistaken. Whoever uses the landmarks says how far they can be
// trusted.
//
// The package knows nothing of files, nor of golf. Places are in pixels of the
// picture, the centre of the first pixel at (0.5, 0.5).
package pose
