// R2002 source
System.Runtime.InteropServices.CollectionsMarshal.SetCount(new List<int>(), 1000);
