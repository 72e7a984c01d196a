// Package shots holds what a launch monitor, or the coach's eye, read of each ball:
// the readings and their units, the tables that devices write, and what two blocks
// of shots tell when they are compared.
package shots
