# The scale card, which the owner prints and lays beside his engine.

card-title = Scale card { $size }
card-about = { $across } × { $up } squares of { $square } mm, { $dictionary }
card-do = Print at 100 % (not “fit to page”), stick it flat to something stiff, measure both check lines from tick to tick with a steel rule, and write here what they measure.
card-check-long = check line, long side: should be { $length }; measures
card-check-short = check line, short side: should be { $length }; measures
card-cut = Cut along the marks.
