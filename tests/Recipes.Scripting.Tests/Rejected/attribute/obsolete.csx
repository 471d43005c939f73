// R2003 source
[Obsolete]
void Old() { }
