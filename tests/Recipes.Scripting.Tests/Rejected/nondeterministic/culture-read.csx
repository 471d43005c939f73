// R2002
Report.Note(System.Globalization.CultureInfo.CurrentCulture.Name);
