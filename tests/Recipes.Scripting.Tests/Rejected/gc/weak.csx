// R2002
var weak = new WeakReference("x");
