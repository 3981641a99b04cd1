/* words.h: lists of synonyms, compared without case, spaces and punctuation. */
#ifndef CKS_AGRONOMY_WORDS_H
#define CKS_AGRONOMY_WORDS_H

#include <stdbool.h>

/* True when text is one of the words of list ("milo|grain sorghum"); letters of either case, digits and the marks
 * % # " ' count, all else is skipped. A text without any of them is in no list. */
#define CKS_WORDS_NO "0|no|n|false|keep|test|entry" /* cells that say no in a column of marks */
bool cks_words_has(const char *list, const char *text);

#endif
