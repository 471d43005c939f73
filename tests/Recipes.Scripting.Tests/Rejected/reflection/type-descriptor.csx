// R2002
var all = System.ComponentModel.TypeDescriptor.GetProperties("x");
