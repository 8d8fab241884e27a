// Package setup describes the physical world of a job: units and quantities,
// the machine, the stock on its backing plate, fixture zones, tools, and what
// may and must be removed. Both sides of the house use it, the one that plans
// a program and the one that proves it.
//
// Lengths are millimetres, feeds mm/min, spindle speeds 1/min, angles radians.
// Coordinates are the program's: X right, Y away, Z up, zero where the job says.
package setup
