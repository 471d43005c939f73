// R2002
var list = Enumerable.Range(0, 3).AsQueryable().Where(n => n > 1).ToList();
