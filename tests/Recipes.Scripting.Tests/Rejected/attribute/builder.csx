// R2003
[System.Runtime.CompilerServices.CollectionBuilder(typeof(B), "Of")]
class C { }
class B { }
