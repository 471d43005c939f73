// R2002
var text = new System.Runtime.CompilerServices.DefaultInterpolatedStringHandler(1, 1);
