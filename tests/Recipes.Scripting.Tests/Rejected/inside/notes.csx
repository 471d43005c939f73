// R2002
var notes = Report.Notes;
