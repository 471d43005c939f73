using System.Collections;
using System.Reflection.Metadata;
using System.Reflection.Metadata.Ecma335;

namespace Recipes.Checking;

/// <summary>Whose code a body is; some of the compiler's own may do more than a recipe's.</summary>
/// <param name="InDetails">In the compiler's <c>&lt;PrivateImplementationDetails&gt;</c>.</param>
/// <param name="IsScriptStart">The one method of the script's start, which hands exceptions on.</param>
/// <param name="IsHashCode">A <c>GetHashCode</c>, which may ask for others.</param>
internal sealed record BodyPlace(bool InDetails, bool IsScriptStart, bool IsHashCode);

/// <summary>
/// Reads a method's instructions (ECMA-335, III). Those that C# without <c>unsafe</c> never needs are refused; every jump
/// must land on an instruction, so that none hides inside another's operand. What stands on the stack is not verified: that
/// values have the types that they are used as is the compiler's word, and the worker's confinement is what holds where it lies.
/// </summary>
/// <remarks>
/// An exception is an object like any other, and its text tells how code was compiled, what machine it is and where code lies. So none ever
/// gets into a recipe's hands: one that is made is thrown by the next instruction, one that is caught is dropped by the first, and no
/// type of a recipe's own is one. With that it doesn't matter what the language could turn one into. <see cref="StartJudge"/> judges the
/// one handler that keeps what it caught, which the compiler writes.
/// </remarks>
internal sealed class BodyJudge(MetadataReader reader, AssemblyJudge judge)
{
    private readonly StartJudge start = new(reader, judge);

    /// <summary>The method whose answer differs from process to process.</summary>
    public const string HashCode = "GetHashCode";

    /// <summary>Whether a type is an exception: all that recipes may name end so, and they declare none.</summary>
    public static bool IsException(string type) =>
        type.StartsWith("System.", StringComparison.Ordinal) && type.EndsWith(nameof(Exception), StringComparison.Ordinal);

    /// <summary>Judges one body.</summary>
    public void Judge(MethodBodyBlock body, BodyPlace place)
    {
        var code = body.GetILReader();
        judge.Spend(body.Size);
        var starts = new BitArray(code.Length + 1);
        var targets = new List<int>();
        var locals = new List<int>();
        while (code.RemainingBytes > 0)
        {
            starts[code.Offset] = true;
            judge.At(code.Offset);
            if (place.IsScriptStart)
            {
                locals.Add(StartJudge.LocalOf(code));
            }

            Instruction(ref code, targets, place);
        }

        starts[code.Length] = true;
        int catchAlls = place.IsScriptStart ? 1 : 0;
        foreach (var region in body.ExceptionRegions)
        {
            judge.Spend(1);
            targets.AddRange([region.TryOffset, region.TryOffset + region.TryLength, region.HandlerOffset, region.HandlerOffset + region.HandlerLength]);
            if (region.Kind == ExceptionRegionKind.Filter)
            {
                targets.Add(region.FilterOffset);
            }

            judge.At(region.HandlerOffset);
            if (region.Kind is ExceptionRegionKind.Catch or ExceptionRegionKind.Filter && Wrong(code, region, locals, ref catchAlls) is { } wrong)
            {
                judge.Find(wrong);
            }
        }

        if (targets.Exists(target => target < 0 || target > code.Length || !starts[target]))
        {
            throw new BadImageFormatException("A jump lands inside an instruction.");
        }

        if (!body.LocalSignature.IsNil)
        {
            judge.InRange(body.LocalSignature);
        }
    }

    // What is wrong with a handler, where something is.
    private string? Wrong(BlobReader code, ExceptionRegion region, List<int> locals, ref int catchAlls)
    {
        var caught = region.Kind == ExceptionRegionKind.Catch ? region.CatchType : Filtered(code, region.FilterOffset);
        if (!IsCatchAll(caught))
        {
            return Drops(code, region) ? null : "A handler keeps the exception that it catches.";
        }

        return --catchAlls < 0 ? "A handler catches every exception."
            : start.HandsOn(code, region, locals) ? null : "The handler around the recipe's start does more than hand on what it catches.";
    }

    // A filter of the compiler's first asks whether the exception is of the type that the source names.
    private static EntityHandle Filtered(BlobReader code, int offset)
    {
        if (offset < 0 || offset > code.Length - 1 - sizeof(int))
        {
            throw new BadImageFormatException("A filter runs over the end.");
        }

        code.Offset = offset;
        return (ILOpCode)code.ReadByte() == ILOpCode.Isinst ? MetadataTokens.EntityHandle(code.ReadInt32()) : default;
    }

    // Before anything else. A filter first asks for the type, takes a copy, and where it isn't that type drops it, says 0 and goes to its end.
    private static bool Drops(BlobReader code, ExceptionRegion region)
    {
        code.Offset = region.HandlerOffset;
        bool drops = Next(ref code) == ILOpCode.Pop;
        if (region.Kind == ExceptionRegionKind.Filter)
        {
            code.Offset = region.FilterOffset + 1 + sizeof(int);
            drops &= Next(ref code) == ILOpCode.Dup && Next(ref code) == ILOpCode.Brtrue_s;
            int caught = drops && code.RemainingBytes > 0 ? code.ReadSByte() + code.Offset : code.Length;
            drops &= Next(ref code) == ILOpCode.Pop && Next(ref code) == ILOpCode.Ldc_i4_0 && Next(ref code) is ILOpCode.Br_s or ILOpCode.Br;
            code.Offset = Math.Clamp(caught, 0, code.Length);
            drops &= Next(ref code) == ILOpCode.Pop;
        }

        return drops;
    }

    private static ILOpCode Next(ref BlobReader code) => code.RemainingBytes > 0 ? (ILOpCode)code.ReadByte() : ILOpCode.Nop;

    // Whatever else is caught must be a type that recipes may name.
    private bool IsCatchAll(EntityHandle type)
    {
        if (type.IsNil)
        {
            return true;
        }

        judge.InRange(type);
        return type.Kind switch
        {
            HandleKind.TypeReference => !judge.IsForRecipes((TypeReferenceHandle)type, out string name)
                || name is "System.Exception" or "System.SystemException" or "System.Object",
            _ => true,
        };
    }

    private static bool HasNoOperand(ILOpCode op) => op is ILOpCode.Nop or ILOpCode.Break or ILOpCode.Ldnull or ILOpCode.Dup or ILOpCode.Pop or ILOpCode.Ret
        or (>= ILOpCode.Ldarg_0 and <= ILOpCode.Stloc_3)
        or (>= ILOpCode.Ldc_i4_m1 and <= ILOpCode.Ldc_i4_8)
        or (>= ILOpCode.Ldind_i1 and <= ILOpCode.Conv_u8)
        or ILOpCode.Conv_r_un or ILOpCode.Throw
        or (>= ILOpCode.Conv_ovf_i1_un and <= ILOpCode.Conv_ovf_u_un)
        or ILOpCode.Ldlen
        or (>= ILOpCode.Ldelem_i1 and <= ILOpCode.Stelem_ref)
        or (>= ILOpCode.Conv_ovf_i1 and <= ILOpCode.Conv_ovf_u8)
        or ILOpCode.Ckfinite
        or (>= ILOpCode.Conv_u2 and <= ILOpCode.Endfinally)
        or ILOpCode.Stind_i or ILOpCode.Conv_u
        or (>= ILOpCode.Ceq and <= ILOpCode.Clt_un)
        or ILOpCode.Endfilter or ILOpCode.Rethrow or ILOpCode.Readonly;

    private void Instruction(ref BlobReader code, List<int> targets, BodyPlace place)
    {
        int first = code.ReadByte();
        var op = (ILOpCode)(first == 0xFE ? 0xFE00 | code.ReadByte() : first);
        switch (op)
        {
            case var _ when HasNoOperand(op):
                return;
            case >= ILOpCode.Ldarg_s and <= ILOpCode.Stloc_s:
            case ILOpCode.Ldc_i4_s:
                code.ReadByte();
                return;
            case >= ILOpCode.Ldarg and <= ILOpCode.Stloc:
                code.ReadInt16();
                return;
            case ILOpCode.Ldc_i4 or ILOpCode.Ldc_r4:
                code.ReadInt32();
                return;
            case ILOpCode.Ldc_i8 or ILOpCode.Ldc_r8:
                code.ReadInt64();
                return;
            case >= ILOpCode.Br_s and <= ILOpCode.Blt_un_s:
            case ILOpCode.Leave_s:
                int near = code.ReadSByte();
                targets.Add(code.Offset + near);
                return;
            case >= ILOpCode.Br and <= ILOpCode.Blt_un:
            case ILOpCode.Leave:
                int far = code.ReadInt32();
                targets.Add(code.Offset + far);
                return;
            case ILOpCode.Switch:
                Switch(ref code, targets);
                return;
            case ILOpCode.Newobj:
                Made(Token(ref code), code, place);
                return;
            case ILOpCode.Call or ILOpCode.Callvirt or ILOpCode.Ldftn or ILOpCode.Ldvirtftn:
                Method(Token(ref code), place);
                return;
            case >= ILOpCode.Ldfld and <= ILOpCode.Stsfld:
                Kind(Token(ref code), HandleKind.FieldDefinition, HandleKind.MemberReference);
                return;
            case ILOpCode.Ldobj or ILOpCode.Stobj or ILOpCode.Initobj or ILOpCode.Castclass or ILOpCode.Isinst
                or ILOpCode.Newarr or ILOpCode.Ldelema or ILOpCode.Ldelem or ILOpCode.Stelem or ILOpCode.Box or ILOpCode.Unbox or ILOpCode.Unbox_any
                or ILOpCode.Constrained:
                Kind(Token(ref code), HandleKind.TypeDefinition, HandleKind.TypeReference, HandleKind.TypeSpecification);
                return;
            case ILOpCode.Ldtoken:
                Kind(Token(ref code), HandleKind.FieldDefinition, HandleKind.TypeDefinition, HandleKind.TypeReference, HandleKind.TypeSpecification);
                return;
            case ILOpCode.Ldstr:
                Text(ref code);
                return;
            default:
                throw new BadImageFormatException($"Instruction {op} may not be used.");
        }
    }

    private static void Text(ref BlobReader code)
    {
        const int TextsOfTheUser = 0x70;
        if (code.ReadInt32() >>> 24 != TextsOfTheUser)
        {
            throw new BadImageFormatException("A text constant comes from nowhere.");
        }
    }

    private static void Switch(ref BlobReader code, List<int> targets)
    {
        uint count = code.ReadUInt32();
        if (count > code.RemainingBytes / sizeof(int))
        {
            throw new BadImageFormatException("A switch runs over the end.");
        }

        int end = code.Offset + ((int)count * sizeof(int));
        for (uint i = 0; i < count; i++)
        {
            targets.Add(end + code.ReadInt32());
        }
    }

    private EntityHandle Token(ref BlobReader code)
    {
        var handle = MetadataTokens.EntityHandle(code.ReadInt32());
        judge.InRange(handle);
        judge.Uses(handle);
        return handle;
    }

    private void Made(EntityHandle constructor, BlobReader rest, BodyPlace place)
    {
        Method(constructor, place);
        if (constructor.Kind == HandleKind.MemberReference
            && IsException(judge.NameOf(reader.GetMemberReference((MemberReferenceHandle)constructor).Parent)) && Next(ref rest) != ILOpCode.Throw)
        {
            judge.Find("The compiled recipe keeps an exception that it makes.");
        }
    }

    private void Method(EntityHandle method, BodyPlace place)
    {
        Kind(method, HandleKind.MethodDefinition, HandleKind.MemberReference, HandleKind.MethodSpecification);
        if (method.Kind == HandleKind.MethodSpecification)
        {
            method = reader.GetMethodSpecification((MethodSpecificationHandle)method).Method;
        }

        if (method.Kind == HandleKind.MemberReference && !place.InDetails)
        {
            judge.OutsideDetails((MemberReferenceHandle)method);
        }

        var name = method.Kind == HandleKind.MemberReference
            ? reader.GetMemberReference((MemberReferenceHandle)method).Name
            : reader.GetMethodDefinition((MethodDefinitionHandle)method).Name;
        if (!place.IsHashCode && reader.StringComparer.Equals(name, HashCode))
        {
            judge.Find("The compiled recipe asks for a hash code, which differs from run to run.");
        }
    }

    private static void Kind(EntityHandle handle, params ReadOnlySpan<HandleKind> kinds)
    {
        if (!kinds.Contains(handle.Kind))
        {
            throw new BadImageFormatException("An instruction names a thing of the wrong kind.");
        }
    }
}
