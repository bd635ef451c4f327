# Words that several sheets share.
common-job = job
common-page = page
common-of = of
common-revision = revision { $number }
common-given = given { $day }
