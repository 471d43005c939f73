// R2002
object bag = new System.Dynamic.ExpandoObject();
