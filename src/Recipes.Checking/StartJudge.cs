using System.Reflection.Metadata;
using System.Reflection.Metadata.Ecma335;

namespace Recipes.Checking;

/// <summary>
/// The handler around a script's start is the only one that catches everything and keeps what it caught. It must be, instruction by
/// instruction, what the compiler writes around an asynchronous method: it hands the exception to the builder of the method's task,
/// and nobody else gets to see it.
/// </summary>
internal sealed class StartJudge(MetadataReader reader, AssemblyJudge judge)
{
    private const string Builder = "System.Runtime.CompilerServices.AsyncTaskMethodBuilder";
    private const string HandsItOn = "keep this finished state this builder kept SetException leave";
    private const int Words = 9;

    /// <summary>Whether a handler does nothing but hand on what it catches, where nothing else in the method touches the local that it is kept in.</summary>
    /// <param name="code">The method's instructions.</param>
    /// <param name="region">The handler.</param>
    /// <param name="locals">The local that each instruction of the method reads, writes or takes the address of.</param>
    public bool HandsOn(BlobReader code, ExceptionRegion region, List<int> locals)
    {
        code.Offset = region.HandlerOffset;
        int end = region.HandlerOffset + region.HandlerLength, kept = LocalOf(code);
        var words = new List<string>();
        while (code.Offset < end && words.Count <= Words)
        {
            // The compiler pads the long forms for a local's number.
            if (Word(ref code, kept) is { Length: > 0 } word)
            {
                words.Add(word);
            }
        }

        return region.Kind == ExceptionRegionKind.Catch && code.Offset == end && string.Join(' ', words) == HandsItOn
            && locals.FindAll(local => local == kept).Count == 2;
    }

    /// <summary>The number of the local that the next instruction reads, writes or takes the address of; -1 for none.</summary>
    public static int LocalOf(BlobReader code) => ReadLocal(ref code, Op(ref code));

    private static ILOpCode Op(ref BlobReader code) => code.ReadByte() is var first && first == 0xFE ? (ILOpCode)(0xFE00 | code.ReadByte()) : (ILOpCode)first;

    private static int ReadLocal(ref BlobReader code, ILOpCode op) => op switch
    {
        >= ILOpCode.Ldloc_0 and <= ILOpCode.Stloc_3 => (op - ILOpCode.Ldloc_0) % 4,
        ILOpCode.Ldloc_s or ILOpCode.Ldloca_s or ILOpCode.Stloc_s => code.ReadByte(),
        ILOpCode.Ldloc or ILOpCode.Ldloca or ILOpCode.Stloc => code.ReadUInt16(),
        _ => -1,
    };

    private string Word(ref BlobReader code, int kept)
    {
        var op = Op(ref code);
        switch (op)
        {
            case >= ILOpCode.Stloc_0 and <= ILOpCode.Stloc_3 or ILOpCode.Stloc_s or ILOpCode.Stloc:
                return ReadLocal(ref code, op) == kept ? "keep" : "?";
            case >= ILOpCode.Ldloc_0 and <= ILOpCode.Ldloc_3 or ILOpCode.Ldloc_s or ILOpCode.Ldloc:
                return ReadLocal(ref code, op) == kept ? "kept" : "?";
            case ILOpCode.Nop:
                return "";
            case ILOpCode.Ldarg_0:
                return "this";
            // The state of a method that has ended.
            case ILOpCode.Ldc_i4_s:
                return code.ReadSByte() == -2 ? "finished" : "?";
            case ILOpCode.Stfld:
                return FieldType(ref code) == "System.Int32" ? "state" : "?";
            case ILOpCode.Ldflda:
                return FieldType(ref code) == Builder + "{System.Object}" ? "builder" : "?";
            case ILOpCode.Call:
                return Called(ref code);
            case ILOpCode.Leave_s:
                code.ReadSByte();
                return "leave";
            case ILOpCode.Leave:
                code.ReadInt32();
                return "leave";
            default:
                return "?";
        }
    }

    private string FieldType(ref BlobReader code)
    {
        var handle = MetadataTokens.EntityHandle(code.ReadInt32());
        judge.InRange(handle);
        return handle.Kind == HandleKind.FieldDefinition ? judge.TypeOf((FieldDefinitionHandle)handle) : "";
    }

    private string Called(ref BlobReader code)
    {
        var handle = MetadataTokens.EntityHandle(code.ReadInt32());
        judge.InRange(handle);
        if (handle.Kind != HandleKind.MemberReference)
        {
            return "?";
        }

        var member = reader.GetMemberReference((MemberReferenceHandle)handle);
        return judge.NameOf(member.Parent) == Builder + "`1" ? judge.Text(member.Name) : "?";
    }
}
