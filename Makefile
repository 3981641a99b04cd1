# checkstrip: `make demo` shows the main job, `make test` tests it; each installs what is missing first. `make help` lists the rest.

PREFIX ?= /usr/local
DESTDIR ?=
CFLAGS ?= -O2 -g
LDFLAGS ?=
MODE ?= release
WERROR ?=
V ?= 0

MAKEFLAGS += --no-builtin-rules
.SUFFIXES:
.DELETE_ON_ERROR:
.DEFAULT_GOAL := all
ifeq ($(origin CC),default)
CC := cc
endif

BUILD := build/$(MODE)
quiet := $(if $(filter 1,$(V)),,@)

warnings := -Wall -Wextra -Wpedantic -Wshadow -Wconversion -Wstrict-prototypes -Wmissing-prototypes -Wwrite-strings \
            -Wvla -Wformat=2 -Wundef $(if $(WERROR),-Werror)
mode_release :=
mode_debug := -O0
mode_asan := -O1 -fsanitize=address,undefined -fno-sanitize-recover=all -fno-omit-frame-pointer
mode_clang :=
mode_cov := -O0 --coverage

# GSL with OpenBLAS as its CBLAS: plain `--libs gsl` binds GSL's reference CBLAS, 20 times slower.
libs = $(shell pkg-config --define-variable=GSL_CBLAS_LIB=-lopenblas --libs gsl xlsxwriter libzip expat) -lcsv -lm
test_libs = $(shell pkg-config --libs cmocka jansson)
CKS_CFLAGS = -std=c11 -D_XOPEN_SOURCE=700 -Iinclude -ffp-contract=off -fvisibility=hidden -MMD -MP $(warnings) $(CFLAGS) $(mode_$(MODE))
CKS_LDFLAGS = $(mode_$(MODE)) $(LDFLAGS)

sources := $(sort $(wildcard src/*.c src/*/*.c))
objects := $(sources:%.c=$(BUILD)/%.o)
library := $(BUILD)/libcheckstrip.a
program := build/checkstrip
mode_program := $(BUILD)/checkstrip

# A test is one program a file in tests/unit, tests/reference, tests/property, tests/oom; tests/support is linked to each.
test_sources := $(sort $(wildcard tests/unit/*.c tests/reference/*.c tests/property/*.c tests/oom/*.c))
# Those of tests/oom stand between our objects and these functions (static library only; works with the sanitizers too).
oom_flags := $(patsubst %,-Xlinker --wrap=%,malloc calloc realloc strdup free cks_arena_take)
bench_flags := -Xlinker --wrap=cks_interaction_analyze # the bench that times this call stands before it
test_programs := $(test_sources:%.c=$(BUILD)/%)
support := $(patsubst %.c,$(BUILD)/%.o,$(sort $(wildcard tests/support/*.c)))
fuzz_programs := $(patsubst tests/fuzz/fuzz_%.c,$(BUILD)/tests/fuzz/replay_%,$(sort $(wildcard tests/fuzz/fuzz_*.c)))
golden_programs := $(patsubst %.c,$(BUILD)/%,$(sort $(wildcard tests/golden/*.c)))
bench_programs := $(patsubst %.c,$(BUILD)/%,$(sort $(wildcard tests/bench/*.c)))

.PHONY: all demo test do-demo do-test test-long deps check-asan check-clang fuzz bench golden-update install clean help
all: $(program) ## build the program at build/checkstrip
deps: ; @sh src/deps.sh
demo test: ; @sh src/deps.sh && $(MAKE) --no-print-directory do-$@

$(program): $(mode_program)
	@ln -sf $(MODE)/checkstrip $@
$(mode_program): $(filter $(BUILD)/src/cli/%,$(objects)) $(library)
	$(quiet)$(CC) $(CKS_LDFLAGS) -o $@ $^ $(libs)
$(library): $(filter-out $(BUILD)/src/cli/%,$(objects))
	$(quiet)rm -f $@ && ar qcs $@ $^
$(BUILD)/%.o: %.c
	@mkdir -p $(@D)
	$(quiet)$(CC) $(CKS_CFLAGS) $(if $(filter tests/%,$<),-Itests) -c -o $@ $<
$(BUILD)/tests/oom/%: CKS_LDFLAGS += $(oom_flags)
$(BUILD)/tests/bench/bench_interaction: CKS_LDFLAGS += $(bench_flags)
$(BUILD)/tests/unit/test_icalendar: test_libs += $(shell pkg-config --libs libical)
$(test_programs) $(bench_programs) $(golden_programs): $(BUILD)/tests/%: $(BUILD)/tests/%.o $(support) $(library)
	$(quiet)$(CC) $(CKS_LDFLAGS) -o $@ $^ $(libs) $(test_libs)
$(fuzz_programs): $(BUILD)/tests/fuzz/replay_%: $(BUILD)/tests/fuzz/fuzz_%.o $(BUILD)/tests/fuzz/replay.o $(library)
	$(quiet)$(CC) $(CKS_LDFLAGS) -o $@ $^ $(libs)
-include $(objects:.o=.d) $(test_programs:=.d) $(support:.o=.d) $(wildcard $(BUILD)/tests/fuzz/*.d $(BUILD)/tests/bench/*.d)

do-demo: $(program)
	@sh sample-trials/demo.sh
do-test: $(program) $(mode_program) $(test_programs) $(fuzz_programs) $(golden_programs)
	@sh tests/run.sh $(BUILD)
bench: $(program) $(bench_programs) ## ratios, measured in one run; where R is there, beside lme4 (BENCH_LONG=1: a million plots too)
	@sh tests/bench/run.sh $(BUILD)
	@rm -rf $(BUILD)/robust && COUNT=40 sh tests/bench/robust.sh $(BUILD)/robust $(BUILD)/tests/bench/bench_reml
	@sh tests/bench/beside_lme4.sh $(BUILD)
golden-update: $(program) $(golden_programs) ## write the golden files anew; review the difference as code
	@sh tests/golden/run.sh build/checkstrip update
fuzz: $(sort $(wildcard tests/fuzz/fuzz_*.c)) ## each fuzzer for a minute (clang)
	@set -e; for fuzzer in $^; do to=build/fuzz/$$(basename $$fuzzer .c); mkdir -p $$to/corpus; \
	  clang -std=c11 -D_XOPEN_SOURCE=700 -Iinclude -g -O1 -fsanitize=fuzzer,address,undefined -fno-sanitize-recover=all \
	    -o $$to/fuzzer $$fuzzer $(filter-out src/cli/%,$(sources)) $(libs); \
	  $$to/fuzzer -max_total_time=60 -timeout=5 -max_len=4096 -artifact_prefix=$$to/ $$to/corpus tests/fuzz/corpus \
	    tests/golden/read sample-trials; done
test-long: ## the tests with 2,000 generated trials a setting, and the table of rates found
	@CKS_TEST_LONG=1 $(MAKE) --no-print-directory do-test
check-asan: ## the tests under address and undefined-behavior sanitizers
	@$(MAKE) --no-print-directory MODE=asan CFLAGS=-g do-test
check-clang: ## a clang build with the tests
	@$(MAKE) --no-print-directory MODE=clang CC=clang do-test
install: $(program) ## program, library and headers below PREFIX
	install -d $(DESTDIR)$(PREFIX)/bin $(DESTDIR)$(PREFIX)/lib $(DESTDIR)$(PREFIX)/include/checkstrip
	install -m 755 $(mode_program) $(DESTDIR)$(PREFIX)/bin/checkstrip
	install -m 644 $(library) $(DESTDIR)$(PREFIX)/lib/
	install -m 644 include/checkstrip.h $(DESTDIR)$(PREFIX)/include/
	install -m 644 include/checkstrip/*.h $(DESTDIR)$(PREFIX)/include/checkstrip/
clean: ## remove build/
	rm -rf build
help: ## this list
	@echo 'make demo          install what is missing, build, run the main job on sample-trials'
	@echo 'make test          install what is missing, build, run the tests'
	@sed -n 's/^\([a-z-]*\):[^#]*## \(.*\)/\1|\2/p' Makefile | while IFS='|' read -r target does; do printf 'make %-14s%s\n' "$$target" "$$does"; done
