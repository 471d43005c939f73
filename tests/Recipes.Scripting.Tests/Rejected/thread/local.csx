// R2002
var local = new System.Threading.ThreadLocal<int>();
