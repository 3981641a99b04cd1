/* words.h: lists of synonyms, compared without case, spaces and punctuation. */
#ifndef CKS_AGRONOMY_WORDS_H
#define CKS_AGRONOMY_WORDS_H

#include <stdbool.h>

/* True when text is one of the words of list ("milo|grain sorghum"); letters of either case, digits and the marks
 * % # " ' count, all else is skipped. A text without any of them is in no list. */
#define CKS_WORDS_NO "0|no|n|false|keep|test|entry" /* cells that say no in a column of marks */
bool cks_words_has(const char *list, const char *text);
/* Does a cell under a heading of checks say that the hybrid is none? Of entry types (TEST, FILLER, ...) only CHECK is. */
bool cks_words_no_check(const char *heading, const char *cell);

/* summary.c: does a text head a row of means, totals or tests ("Mean", "Check avg", "LSD (0.05)", "C.V. %")? MAYBE: it
 * says mean or average beside words that may be a name ("Kestrel avg"). */
typedef enum { CKS_SUMMARY_NO, CKS_SUMMARY_MAYBE, CKS_SUMMARY_YES } cks_summary;
cks_summary cks_words_summary(const char *text);

#endif
