// R2002
class L : System.Runtime.Serialization.ISerializable
{
    public void GetObjectData(System.Runtime.Serialization.SerializationInfo i, System.Runtime.Serialization.StreamingContext c) { }
}
