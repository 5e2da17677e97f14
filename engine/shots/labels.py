"""Words that tables and notes use, in English, German, French, Spanish, Japanese and Swedish: common practice, no source."""

from __future__ import annotations


def word_set(words: str) -> set[str]:
    """The words of a list written as one text."""
    return set(words.split())


_SIDES = {
    "l": word_set("l left links gauche izquierda vanster 左"),
    "r": word_set("r right rechts droite derecha hoger 右"),
}
SIDE_OF = {word: side for side, words in _SIDES.items() for word in words}
# a row with one of these sums up others
SUMMARY_WORDS = {"average", "averages", "avg", "ave", "mean", "median", "summary", "overall", "consistency"}
SUMMARY_WORDS |= {"std", "stdev", "stddev", "sd", "deviation", "deviations", "dev", "variance", "range"}
SUMMARY_WORDS |= {"min", "max", "minimum", "maximum", "total", "totals", "sum", "longest", "shortest", "best"}
SUMMARY_WORDS |= word_set(
    "durchschnitt durchschnittlich mittelwert mittel schnitt standardabweichung stdabw stabw abw streuung varianz "
    "spannweite summe gesamt var sigma"
)
SUMMARY_WORDS |= word_set(
    "moyenne moyen ecart mediane somme totaux promedio media desviacion mediana suma minimo maximo"
)
SUMMARY_WORDS |= word_set("medel medelvarde snitt genomsnitt standardavvikelse summa totalt min max ø σ")
SUMMARY_WORDS |= word_set("平均 平均値 標準偏差 最大 最小 合計")
SUMMARY_ALONE = SUMMARY_WORDS - {"range"} | word_set("of all the a n shot shots ball balls club clubs")
# between and beside the carries of a line
PASSED = word_set(
    "and then carry carries carried full swing normal stock to the with hit hits goes go flies flew about around "
    "approx ca my of for at is was in a und dann mit voll voller schwung der die das etwa fliegt et "
    "puis avec le la les environ y con el aprox och med キャリー"
)
COUNT = word_set("ball balls shot shots n balle schlage coups balles golpes bolas slag bollar 球 発")
MEAN = word_set(
    "average averages avg ave mean mittel mittelwert schnitt durchschnitt moyenne moy promedio media"
)
MEAN |= word_set("medel medelvarde snitt genomsnitt ø 平均")
SPREAD = word_set(
    "sd std stdev deviation dev standardabweichung stdabw stabw abw varianz spannweite "
    "streuung ecart desviacion standardavvikelse σ ±"
)
ASIDE = word_set(
    "max min maximum minimum best longest shortest total roll run median sum loft target goal pin hole"
)
ASIDE |= word_set("gesamt maximal minimal totale maximo minimo totalt トータル 最大 最小")
# a ball that was not struck as meant
MISHIT = word_set(
    "mishit mishits mis misshit misshits mishitt duff duffs duffed fat fatted chunk chunks chunked chunky thin thinned "
    "thins top topped tops skull skulled bladed shank shanked shanks heavy skied sclaff sclaffed toed heeled bad poor miss "
    "missed"
)
MISHIT |= word_set(
    "fehlschlag fehlschlage getoppt fett dunn sockett gesockelt rate ratee gratte tope topee socket"
)
MISHIT |= word_set(
    "fallo fallada topado topada filazo missad missade misstraff toppad toppade tunn tjock duffad"
)
GRIPPED = word_set("gd grip gripped gripping grips choke choked choking gegriffen greppat greppad")
LINE_SUMMARY = (
    MEAN
    | SPREAD
    | (ASIDE - {"loft", "target", "goal", "pin", "hole", "run", "roll"})
    | {"summary", "overall", "range"}
)
HEADING = {"carry", "carries", "distance", "distances", "flugweite", "portee", "vuelo", "キャリー"}
