// Package series tells of the student what several of his swings tell: means, how far
// his swings spread about them, which of them is typical, and whether he has changed
// from one visit to another, or with what was tried.
//
// Mean and spread are those of geometry.Visit, by a random-effects model. What it is
// worth, on made-up students of known mean and spread (geometry's TestVisits with -students
// 60000, of which the standard error is 0.1 % in each figure; each swing is measured to 4
// degrees, of which 1.8 are the same in a visit):
//
//	swings   spread  mean inside  spread inside  told of a change   the same by one swing
//	                 its interval its interval   that is none       each and no spread
//	3 and 3   1.5°     95.7 %       95.1 %         3.3 %               6.1 %
//	3 and 3   3°       95.2 %       95.0 %         3.7 %              11.1 %
//	3 and 3   6°       94.5 %       95.1 %         4.4 %              27.3 %
//	6 and 6   1.5°     95.8 %       95.0 %         3.8 %               6.2 %
//	6 and 6   3°       95.5 %       95.0 %         4.2 %              10.9 %
//	6 and 6   6°       94.8 %       95.0 %         4.5 %              27.2 %
//	1 and 3   1.5°     96.9 %       94.9 %         2.8 %               6.0 %
//	1 and 3   3°       96.1 %       94.9 %         3.6 %              11.2 %
//	1 and 3   6°       94.3 %       95.1 %         4.8 %              27.6 %
//	3 alone   1.5°     96.9 %       95.1 %
//	3 alone   3°       96.1 %       95.0 %
//	3 alone   6°       94.2 %       94.8 %
//	1 and 1, three visits of three before:
//	          1.5°     94.9 %       94.9 %         4.5 %               6.1 %
//	          3°       94.6 %       95.0 %         4.8 %              11.1 %
//	          6°       94.6 %       94.9 %         4.9 %              27.3 %
//	1 and 1, the spread assumed to be 3 degrees:
//	          1.5°     97.8 %                      2.1 %               6.2 %
//	          3°       95.1 %                      4.9 %              11.1 %
//	          6°       82.6 %                     17.7 %              27.3 %
//
// One swing each can't be better than what is assumed of the spread. A change of 10
// degrees is found with three swings each in 57, 45 and 26 % of the students, with six
// in 84, 76 and 52 %.
package series
