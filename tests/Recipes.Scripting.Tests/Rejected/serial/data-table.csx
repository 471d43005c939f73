// R2002
var t = new System.Data.DataTable();
