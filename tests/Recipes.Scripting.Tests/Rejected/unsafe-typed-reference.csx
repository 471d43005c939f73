// R2002
int n = 1;
var r = __makeref(n);
