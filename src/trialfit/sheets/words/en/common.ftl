# Words that several sheets share.
common-job = job
common-page = page
common-of = of
common-revision = revision { $number }
common-given = given { $day }
common-workshop = the workshop
common-for = For
common-from = From
common-engine = Engine
common-cautions = CAUTIONS
