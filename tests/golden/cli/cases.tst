# NAME            EXIT ARGUMENTS
help              0    help
help-audit        0    help audit
help-summarize    0    help summarize
one-place         0    summarize sample-trials/one-place/plots.csv
series            0    summarize sample-trials/series/plots/*.csv --places sample-trials/series/places.csv
series-full       0    summarize sample-trials/series/plots/*.csv --places sample-trials/series/places.csv --full
series-sheet      0    summarize sample-trials/series/plots/*.csv --places sample-trials/series/places.csv --sheet-for "Cold Draw"
series-fixed      0    summarize sample-trials/series/plots/*.csv --places sample-trials/series/places.csv --locations fixed
series-audit      0    audit sample-trials/series/plots/*.csv --places sample-trials/series/places.csv
no-such-place     2    summarize sample-trials/one-place/plots.csv --sheet-for Nowhere
unknown-command   2    sumarize plots.csv
unknown-option    2    summarize --alhpa 0.1 sample-trials/one-place/plots.csv
unknown-ending    2    summarize sample-trials/one-place/plots.csv -o out.docx
no-file           2    summarize
