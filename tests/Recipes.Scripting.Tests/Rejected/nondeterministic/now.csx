// R2002
Report.Note($"{DateTime.Now}");
