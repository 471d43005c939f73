// R2002
string text = new System.IO.StreamReader("/etc/passwd").ReadToEnd();
