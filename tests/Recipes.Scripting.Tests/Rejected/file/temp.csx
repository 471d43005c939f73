// R2002
string place = System.IO.Path.GetTempFileName();
