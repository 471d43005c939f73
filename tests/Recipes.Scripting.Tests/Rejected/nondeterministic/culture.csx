// R2002
System.Globalization.CultureInfo.CurrentCulture = new("tr-TR");
