// R2003
var list = new List<dynamic>();
