// Package series tells of the student what several of his swings tell: means, how far
// his swings spread about them, which of them is typical, and whether he has changed
// from one visit to another, or with what was tried.
//
// Mean and spread are those of geometry.Visit, by a random-effects model. What it is
// worth, on made-up students of known mean and spread (geometry's TestVisits, 4,000 of
// each kind; each swing is measured to 4 degrees, of which 1.8 are the same in a visit):
//
//	swings   spread  mean inside  spread inside  told of a change   the same by one swing
//	                 its interval its interval   that is none       each and no spread
//	3 and 3   1.5°     96.3 %       94.6 %         3.2 %               6.1 %
//	3 and 3   3°       95.4 %       94.7 %         3.3 %              11.6 %
//	3 and 3   6°       94.6 %       95.1 %         5.0 %              27.6 %
//	6 and 6   1.5°     95.7 %       95.0 %         3.9 %               6.4 %
//	6 and 6   3°       95.2 %       94.6 %         4.4 %              11.9 %
//	6 and 6   6°       95.2 %       94.8 %         4.9 %              26.0 %
//	3 alone   1.5°     97.1 %       94.4 %
//	3 alone   3°       96.0 %       95.4 %
//	3 alone   6°       94.4 %       95.3 %
//	1 and 1, three visits of three before:
//	          1.5°     94.8 %       95.0 %         4.6 %               5.5 %
//	          3°       95.1 %       95.1 %         5.2 %              11.0 %
//	          6°       94.4 %       94.9 %         5.8 %              28.6 %
//	1 and 1, the spread assumed to be 3 degrees:
//	          1.5°     97.9 %                      2.0 %               5.6 %
//	          3°       95.3 %                      4.3 %              10.9 %
//	          6°       82.4 %                     17.9 %              27.3 %
//
// One swing each can't be better than what is assumed of the spread. A change of 10
// degrees is found with three swings each in 59, 47 and 28 % of the students, with six
// in 85, 77 and 53 %.
package series
