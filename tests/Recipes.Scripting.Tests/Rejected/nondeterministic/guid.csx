// R2002
Report.Note(Guid.NewGuid().ToString());
