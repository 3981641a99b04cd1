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
settings          0    summarize --settings tests/golden/cli/settings/good.txt
settings-over     0    summarize --settings tests/golden/cli/settings/good.txt --alpha 0.01 --unprotected=no --check "Tamsel 8" --show yield=bu/ac
settings-audit    0    audit --settings tests/golden/cli/settings/for-summarize.txt
settings-weather  0    audit --settings tests/golden/cli/settings/weather.txt | tail -n 4
weather-over      0    audit --settings tests/golden/cli/settings/weather.txt --weather tests/golden/read/weather/county.csv | tail -n 4
settings-key      2    summarize --settings tests/golden/cli/settings/unknown-key.txt
settings-value    2    summarize --settings tests/golden/cli/settings/bad-value.txt
settings-equals   2    summarize --settings tests/golden/cli/settings/no-equals.txt
settings-flag     2    summarize --settings tests/golden/cli/settings/bad-flag.txt
settings-twice    2    summarize --settings tests/golden/cli/settings/twice.txt
settings-nested   2    summarize --settings tests/golden/cli/settings/nested.txt
settings-quote    2    summarize --settings tests/golden/cli/settings/open-quote.txt
settings-latin    2    summarize --settings tests/golden/cli/settings/not-utf8.txt
settings-none     4    summarize --settings tests/golden/cli/settings/not-there.txt
heading-slip      2    audit sample-trials/one-place/plots.csv --heading yeild=Oil
heading-no-role   2    audit sample-trials/one-place/plots.csv --heading oil=Oil
unit-wrong        1    audit sample-trials/one-place/plots.csv --unit yield=lb
unit-slip         1    audit sample-trials/one-place/plots.csv --unit yeild=lb/ac --unit moisture=bushel
unit-of-a-place   0    audit sample-trials/series/plots/*.csv --places sample-trials/series/places.csv --unit rainfall=in
missing-nowhere   0    audit sample-trials/one-place/plots.csv --missing "lost,n.a."
missing-empty     2    audit sample-trials/one-place/plots.csv --missing ""
dates-unknown     2    audit sample-trials/one-place/plots.csv --dates ymd
dates-other       1    audit tests/golden/read/dates-decided/input.csv --dates DMY
template-no-reps  2    audit --template out.csv --places sample-trials/season/places.csv --names sample-trials/season/names.csv
template-half     2    audit --template out.csv --places sample-trials/season/places.csv --names sample-trials/season/names.csv --reps 2.5
template-ending   2    audit --template out.docx --places sample-trials/season/places.csv --names sample-trials/season/names.csv --reps 3
template-and-file 2    audit plots.csv --template out.csv --reps 3
fix-ending        2    audit sample-trials/one-place/plots.csv --fix out.xlsx
season-audit      0    audit sample-trials/season/*-*.csv --places sample-trials/season/places.csv --names sample-trials/season/names.csv
season            0    summarize sample-trials/season/*-*.csv --places sample-trials/season/places.csv --names sample-trials/season/names.csv
years             0    summarize tests/golden/cli/years/plots.csv --crop sorghum --trait yield
years-full        0    summarize tests/golden/cli/years/plots.csv --crop sorghum --full | grep -A 34 'means of the last years$'
few-places        0    summarize tests/golden/cli/years/plots.csv --crop sorghum --without location="Cold Draw" --trait yield
few-places-sheet  0    summarize tests/golden/cli/years/plots.csv --crop sorghum --without location="Cold Draw" --sheet-for "Bram Hill 2026"
few-places-third  0    summarize tests/golden/cli/years/plots.csv --crop sorghum --without location="Cold Draw" --trait yield --min-environments 0.3
share-above-one   2    summarize tests/golden/cli/years/plots.csv --min-environments 1.5
season-groups     0    summarize sample-trials/season/*-*.csv --places sample-trials/season/places.csv --names sample-trials/season/names.csv --locations fixed --by-group maturity
season-group      0    summarize sample-trials/season/*-*.csv --places sample-trials/season/places.csv --names sample-trials/season/names.csv --by-group maturity --sheet-for "Ivy Ford"
years-groups      0    summarize tests/golden/cli/years/plots.csv --names tests/golden/cli/years/names.csv --by-group maturity --crop sorghum --trait yield --full | grep -A 34 'means of the last years$'
aside-groups      0    summarize tests/golden/cli/years/plots.csv --names tests/golden/cli/years/names.csv --by-group maturity --crop sorghum --without location="Cold Draw" --trait yield
aside-groups-sheet 0   summarize tests/golden/cli/years/plots.csv --names tests/golden/cli/years/names.csv --by-group maturity --crop sorghum --without location="Cold Draw" --sheet-for "Bram Hill 2026"
groups-tukey      0    summarize sample-trials/season/*-*.csv --places sample-trials/season/places.csv --names sample-trials/season/names.csv --by-group maturity --trait yield --locations fixed --comparison tukey --full | grep -A 50 'every figure$'
groups-best       0    summarize sample-trials/season/*-*.csv --places sample-trials/season/places.csv --names sample-trials/season/names.csv --by-group maturity --trait yield --locations fixed --top-group best
groups-unprotected 0   summarize sample-trials/season/*-*.csv --places sample-trials/season/places.csv --names sample-trials/season/names.csv --by-group maturity --unprotected --sheet-for "Ivy Ford"
groups-no-column  1    audit sample-trials/one-place/plots.csv --by-group matturity
one-cut           0    summarize tests/golden/read/forage-cuts/input.csv --only cut=1
one-cut-sheet     0    summarize tests/golden/read/forage-cuts/input.csv --only cut=1 --sheet-for Upper
forage            0    summarize sample-trials/forage/plots.csv --places sample-trials/forage/places.csv --crop sorghum-sudangrass
forage-sheet      0    summarize sample-trials/forage/plots.csv --places sample-trials/forage/places.csv --crop sorghum-sudangrass --sheet-for "Hob Ridge"
forage-section    0    summarize sample-trials/forage/plots.csv --places sample-trials/forage/places.csv --crop sorghum-sudangrass --full | grep -A 118 '^Forage: cuts'
forage-audit      0    audit sample-trials/forage/plots.csv --places sample-trials/forage/places.csv --crop sorghum-sudangrass
forage-only       0    summarize sample-trials/forage/plots.csv --places sample-trials/forage/places.csv --crop sorghum-sudangrass --only cut=2 --moisture 65
forage-versus     0    versus "Verrow Tall Boy" "Quarter 70" sample-trials/forage/plots.csv --places sample-trials/forage/places.csv --crop sorghum-sudangrass
forage-no-cuts    1    audit sample-trials/forage/plots.csv --places sample-trials/forage/places.csv --crop grain-sorghum
forage-silage     0    summarize tests/golden/cli/awkward/silage.csv --crop forage-sorghum
forage-unclear    1    audit tests/golden/cli/awkward/forage-unclear.csv --crop sudangrass
help-crops        0    help crops
strips-shrunken   0    summarize tests/golden/cli/strips/six.csv --crop sorghum --strip-adjustment shrunken
strips-full       0    summarize tests/golden/cli/strips/six.csv --crop sorghum --strip-adjustment difference --trait yield --full | grep -A 55 'every figure$'
strips-sheet      0    summarize tests/golden/cli/strips/six.csv --crop sorghum --strip-adjustment ratio --sheet-for "Dunn farm"
strips-one        0    summarize tests/golden/cli/strips/six.csv --crop sorghum --strip-adjustment difference --only location="Dunn farm"
strips-four       0    summarize tests/golden/cli/strips/six.csv --crop sorghum --strip-adjustment shrunken --without location="Dunn farm" --without location="Bly farm"
strips-one-shared 2    summarize tests/golden/cli/strips/six.csv --crop sorghum --strip-adjustment shrunken --only location="Dunn farm"
strips-value      2    summarize tests/golden/cli/strips/six.csv --strip-adjustment half
strips-farms      0    summarize sample-trials/strips/strips.csv --places sample-trials/strips/places.csv
strips-difference 0    summarize sample-trials/strips/strips.csv --places sample-trials/strips/places.csv --strip-adjustment difference
strips-own-errors 0    summarize sample-trials/strips/strips.csv --places sample-trials/strips/places.csv --trait yield --error-variance location --environment-effect random
strips-random     0    summarize sample-trials/strips/strips.csv --places sample-trials/strips/places.csv --hybrids random --sheet-for "Gate Nine Farm"
strips-farm-sheet 0    summarize sample-trials/strips/strips.csv --places sample-trials/strips/places.csv --sheet-for "Old Scale Farm"
alpha             0    summarize sample-trials/alpha/*-*.csv --places sample-trials/alpha/places.csv
alpha-place       0    summarize sample-trials/alpha/gale-bottom.csv --places sample-trials/alpha/places.csv --trait yield --full | grep -A 46 'every figure$'
alpha-fits        0    summarize sample-trials/alpha/*-*.csv --places sample-trials/alpha/places.csv --trait yield --full | grep -A 68 'the fits$'
three-years       0    summarize sample-trials/three-years/20*.csv --places sample-trials/three-years/places.csv
three-years-audit 0    audit sample-trials/three-years/20*.csv --places sample-trials/three-years/places.csv
three-years-last  0    summarize sample-trials/three-years/20*.csv --places sample-trials/three-years/places.csv --trait yield --full | grep -A 39 'means of the last years$'
three-years-fits  0    summarize sample-trials/three-years/20*.csv --places sample-trials/three-years/places.csv --trait yield --full | grep -A 73 'the fits$'
next-year         0    summarize sample-trials/three-years/20*.csv --places sample-trials/three-years/places.csv --trait yield --full | grep -A 49 '^For next year'
next-year-groups  0    summarize sample-trials/season/*-*.csv --places sample-trials/season/places.csv --names sample-trials/season/names.csv --by-group maturity --trait yield --locations fixed --full | grep -A 55 '^For next year'
next-year-lodging 0    summarize sample-trials/series/plots/*.csv --places sample-trials/series/places.csv --trait lodging --full | grep -A 50 '^For next year'
next-year-place   0    summarize sample-trials/one-place/plots.csv --trait yield --full | grep -A 24 '^For next year'
three-years-sheet 0    summarize sample-trials/three-years/20*.csv --places sample-trials/three-years/places.csv --sheet-for "Ferrow 2025"
joined-by-check   0    summarize tests/golden/cli/awkward/by-check.csv --crop sorghum
blocks-of-one     0    summarize tests/golden/cli/awkward/block-one-plot.csv --crop sorghum --full | grep -A 22 'the fits$'
place-lost        0    summarize tests/golden/cli/awkward/all-lost.csv --crop sorghum
strip-twice       0    summarize tests/golden/cli/awkward/strip-twice.csv --crop sorghum --sheet-for Creek
help-versus       0    help versus
versus            0    versus "tamsel-8" "Quarter 7*" sample-trials/series/plots/*.csv --places sample-trials/series/places.csv
versus-full       0    versus "Tamsel 8" "Quarter 7" sample-trials/series/plots/*.csv --places sample-trials/series/places.csv --trait yield --trait lodging --full
versus-by         0    versus "Orrin 61" "Quarter 7" sample-trials/series/plots/*.csv --places sample-trials/series/places.csv --by Irrigation --trait yield --trait moisture
versus-years      0    versus "Orrin 61" "Orrin 66" sample-trials/three-years/20*.csv --places sample-trials/three-years/places.csv --by year --trait yield --alpha 0.1
versus-place      0    versus "Orrin 61" "Orrin 66" sample-trials/three-years/20*.csv --places sample-trials/three-years/places.csv --by location --trait yield
versus-pairs      0    versus --all-pairs sample-trials/series/plots/*.csv --places sample-trials/series/places.csv
versus-farms      0    versus --all-pairs sample-trials/strips/strips.csv --places sample-trials/strips/places.csv --check "Quarter 7" --trait yield --by irrigation
versus-adjusted   0    versus "Verrow C" "Orrin 66" sample-trials/strips/strips.csv --places sample-trials/strips/places.csv --trait yield --strip-adjustment difference
versus-beside     0    summarize sample-trials/series/plots/*.csv --places sample-trials/series/places.csv --trait yield --full | grep -A 40 '^Head to head'
versus-once       0    versus "Tamsel 8" "Orrin 61" sample-trials/one-place/plots.csv
versus-no-hybrid  2    versus "Tamsel 80" "Quarter 7" sample-trials/series/plots/*.csv
versus-same       2    versus "Tamsel 8" "tamsel8" sample-trials/series/plots/*.csv
versus-one-name   2    versus "Tamsel 8" sample-trials/series/plots/cold-draw.csv
versus-no-names   2    versus
versus-no-check   2    versus --all-pairs tests/golden/read/metric-units/input.csv
versus-no-column  2    versus "Tamsel 8" "Quarter 7" sample-trials/series/plots/*.csv --by watering
versus-by-hybrid  2    versus "Tamsel 8" "Quarter 7" sample-trials/series/plots/*.csv --by hybrid
versus-option     2    versus "Tamsel 8" "Quarter 7" sample-trials/series/plots/*.csv --comparison tukey
maturity 0 maturity sample-trials/bloom/2025.csv sample-trials/bloom/2026.csv --places sample-trials/bloom/places.csv
maturity-full 0 maturity sample-trials/bloom/2025.csv sample-trials/bloom/2026.csv --places sample-trials/bloom/places.csv --full
maturity-place 0 maturity sample-trials/bloom/2025.csv --places sample-trials/bloom/places.csv --only location=Ferrow
maturity-none 3 maturity sample-trials/strips/strips.csv
help-maturity 0 help maturity
help-headings     0    help headings | tail -n 16
maturity-heat 0 maturity sample-trials/bloom/2025.csv sample-trials/bloom/2026.csv --places sample-trials/bloom/places.csv --weather sample-trials/bloom/weather/alder-flat.csv --weather sample-trials/bloom/weather/cold-draw.csv --weather sample-trials/bloom/weather/elk-section.csv
calendar          0    summarize sample-trials/series/plots/*.csv --places sample-trials/series/places.csv --quiet -o build/golden.ics && cat build/golden.ics
calendar-table    0    summarize sample-trials/series/plots/*.csv --places sample-trials/series/places.csv --as-of 2026-08-01 --full | grep -A 60 '^Stage calendar'
calendar-day      2    summarize sample-trials/one-place/plots.csv --as-of 8/1/2026
calendar-scheme   2    summarize sample-trials/one-place/plots.csv --scheme k-state
calendar-none     2    summarize tests/golden/cli/years/plots.csv --trait yield --crop sorghum -o build/golden.ics
calendar-versus   2    versus "Tamsel 8" "Quarter 7" sample-trials/series/plots/*.csv -o build/golden.ics
help-schemes      0    help schemes
maturity-classes 0 maturity sample-trials/bloom/2025.csv sample-trials/bloom/2026.csv --places sample-trials/bloom/places.csv --class early=-58 --class medium=58-64 --class late=64- | head -n 20
maturity-class-gap 2 maturity sample-trials/bloom/2025.csv --class early=-58 --class late=60-
maturity-class-order 2 maturity sample-trials/bloom/2025.csv --class early=60-50
maturity-class-word 2 maturity sample-trials/bloom/2025.csv --class early=-x
