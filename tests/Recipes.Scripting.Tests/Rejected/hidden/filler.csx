// R2003 source
string s = "aㅤb";
