// R2002
class Mark : Attribute { }
