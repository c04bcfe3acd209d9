"""The stages of measuring a take, by the codes a page makes words of."""

DECODE = "decode"
CHECKS = "checks"
FEATURES = "features"
ALIGNMENT = "alignment"
NOTES = "notes"
MUSIC = "music"
FINDINGS = "findings"
