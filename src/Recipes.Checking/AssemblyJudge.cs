using System.Collections.Immutable;
using System.Reflection;
using System.Reflection.Metadata;
using System.Reflection.Metadata.Ecma335;
using System.Reflection.PortableExecutable;

namespace Recipes.Checking;

/// <summary>An instruction.</summary>
internal readonly record struct Instruction(MethodDefinitionHandle Method, int Offset);

/// <summary>What an assembly may not hold.</summary>
/// <param name="Message">In one sentence.</param>
/// <param name="Of">The row that names it, where one does.</param>
/// <param name="At">The first instruction that holds or uses it, where one does.</param>
internal readonly record struct Finding(string Message, EntityHandle Of, Instruction? At);

/// <summary>Walks every table of an assembly once (ECMA-335, II.22) and lists what recipes may not hold.</summary>
internal sealed class AssemblyJudge
{
    // Text made and rows visited; honest recipes stay far below. It keeps shared blobs and long names from costing more
    // than the assembly's own size lets one expect.
    private const long MostWork = 32_000_000;

    private static readonly TableIndex[] Permitted =
    [
        TableIndex.Module, TableIndex.TypeRef, TableIndex.TypeDef, TableIndex.Field, TableIndex.MethodDef, TableIndex.Param,
        TableIndex.InterfaceImpl, TableIndex.MemberRef, TableIndex.Constant, TableIndex.CustomAttribute, TableIndex.ClassLayout,
        TableIndex.StandAloneSig, TableIndex.EventMap, TableIndex.Event, TableIndex.PropertyMap, TableIndex.Property,
        TableIndex.MethodSemantics, TableIndex.MethodImpl, TableIndex.TypeSpec, TableIndex.FieldRva, TableIndex.Assembly,
        TableIndex.AssemblyRef, TableIndex.NestedClass, TableIndex.GenericParam, TableIndex.MethodSpec, TableIndex.GenericParamConstraint,
    ];

    private readonly PEReader image;
    private readonly MetadataReader reader;
    private readonly AllowList list;
    private readonly SignatureJudge signatures;
    private readonly List<Finding> findings = [];
    private readonly HashSet<string> reported = new(StringComparer.Ordinal);
    private readonly HashSet<JudgedBody> judged = [];

    // By row numbers, and with classes in sets: dictionaries of handles would be compiled anew at each start.
    private readonly Dictionary<int, ConstructedType> constructed = [];
    private readonly HashSet<DeclaredMember> declared = [];
    private readonly Dictionary<int, string> details = [];
    private Instruction? at;
    private EntityHandle row;
    private long work;

    private AssemblyJudge(PEReader image, AllowList list)
    {
        this.image = image;
        this.list = list;
        reader = image.GetMetadataReader(MetadataReaderOptions.None);
        signatures = new SignatureJudge(reader, this);
    }

    /// <summary>Judges an assembly. Whatever is malformed becomes a finding; nothing is thrown.</summary>
    public static IReadOnlyList<Finding> Judge(byte[] assembly, AllowList list)
    {
        if (assembly.Length > MetadataCheck.LargestAssembly)
        {
            return [new($"The compiled recipe is larger than {MetadataCheck.LargestAssembly} bytes.", default, null)];
        }

        AssemblyJudge? judge = null;
        try
        {
            using var image = new PEReader(ImmutableArray.Create(assembly));
            judge = new AssemblyJudge(image, list);
            judge.Everything();
            return judge.findings;
        }
        // The one place where malformed bytes end. The reader documents BadImageFormatException, but crafted offsets
        // reach other exceptions too, and whichever it is, the answer is the same: not checked, so not loaded.
#pragma warning disable CA1031
        catch (Exception e)
#pragma warning restore CA1031
        {
            string why = e is BadImageFormatException ? e.Message : "It is malformed.";
            return [.. judge?.findings ?? [], new($"The compiled recipe can't be judged. {why}", default, judge?.at)];
        }
    }

    /// <summary>Adds a finding, once.</summary>
    public void Find(string finding, EntityHandle of = default)
    {
        if (findings.Count < MetadataCheck.MostFindings && reported.Add(finding))
        {
            findings.Add(new Finding(finding, of.IsNil ? row : of, at));
        }
    }

    /// <summary>Says which instruction is judged next.</summary>
    public void At(int offset) => at = at is { } instruction ? instruction with { Offset = offset } : null;

    /// <summary>Says that this instruction uses a row, so that what was found about the row has a place.</summary>
    public void Uses(EntityHandle row)
    {
        for (int i = 0; i < findings.Count; i++)
        {
            findings[i] = findings[i].At is null && findings[i].Of == row ? findings[i] with { At = at } : findings[i];
        }

        if (findings.Count > 0 && row.Kind is HandleKind.MethodSpecification or HandleKind.MemberReference)
        {
            Uses(row.Kind == HandleKind.MemberReference
                ? reader.GetMemberReference((MemberReferenceHandle)row).Parent : reader.GetMethodSpecification((MethodSpecificationHandle)row).Method);
        }
    }

    /// <summary>Counts work done.</summary>
    /// <exception cref="BadImageFormatException">It is more than any recipe needs.</exception>
    public void Spend(long amount)
    {
        work += amount + 1;
        if (work > MostWork)
        {
            throw new BadImageFormatException("It is too large to judge.");
        }
    }

    /// <summary>A string of the metadata.</summary>
    public string Text(StringHandle handle)
    {
        string text = reader.GetString(handle);
        Spend(text.Length);
        return text;
    }

    /// <summary>True where a referenced type is one that recipes themselves may name.</summary>
    public bool IsForRecipes(TypeReferenceHandle handle, out string name) => list.Of("T:" + (name = signatures.NameOf(handle))) == Use.Recipe;

    /// <summary>Makes sure that a row exists.</summary>
    public void InRange(EntityHandle handle)
    {
        if (!MetadataTokens.TryGetTableIndex(handle.Kind, out var table)
            || MetadataTokens.GetRowNumber(handle) is var row && (row < 1 || row > reader.GetTableRowCount(table)))
        {
            throw new BadImageFormatException("A reference leads nowhere.");
        }
    }

    /// <summary>The name of a type from elsewhere, of a constructed one that of its definition; nothing for the recipe's own.</summary>
    public string NameOf(EntityHandle type)
    {
        if (!type.IsNil)
        {
            InRange(type);
        }

        return type.Kind switch
        {
            HandleKind.TypeReference when !type.IsNil => signatures.NameOf((TypeReferenceHandle)type),
            HandleKind.TypeSpecification => constructed[MetadataTokens.GetRowNumber(type)].Name,
            _ => "",
        };
    }

    /// <summary>The type of a field of the recipe's own, as an identifier shows it.</summary>
    public string TypeOf(FieldDefinitionHandle field) => signatures.Field(reader.GetFieldDefinition(field).Signature);

    /// <summary>Refuses a member that only the compiler's own details may use.</summary>
    public void OutsideDetails(MemberReferenceHandle handle)
    {
        if (details.TryGetValue(MetadataTokens.GetRowNumber(handle), out string? id))
        {
            Find(Forbidden(id), handle);
        }
    }

    private static string Forbidden(string id) =>
        $"The compiled recipe uses {id[2..].Replace(".#ctor", " (its constructor)", StringComparison.Ordinal)}, which recipes may not use.";

    private void Everything()
    {
        Image();
        Sections();
        Streams();
        Tables();
        References();
        Signatures();
        Types();
        Attributes();
    }

    private void Image()
    {
        var headers = image.PEHeaders;
        var clr = headers.CorHeader ?? throw new BadImageFormatException("It is no assembly.");
        var pe = headers.PEHeader ?? throw new BadImageFormatException("It is no assembly.");
        if (clr.Flags != CorFlags.ILOnly
            || clr.ManagedNativeHeaderDirectory.Size != 0 || clr.VtableFixupsDirectory.Size != 0
            || clr.ExportAddressTableJumpsDirectory.Size != 0 || clr.CodeManagerTableDirectory.Size != 0
            || pe.ExportTableDirectory.Size != 0 || pe.ThreadLocalStorageTableDirectory.Size != 0
            || pe.DelayImportTableDirectory.Size != 0 || pe.ExceptionTableDirectory.Size != 0)
        {
            Find("The compiled recipe holds native code.");
        }

        if (clr.EntryPointTokenOrRelativeVirtualAddress != 0)
        {
            Find("The compiled recipe has an entry point.");
        }

        if (clr.ResourcesDirectory.Size != 0)
        {
            Find("The compiled recipe holds resources.");
        }

        // The compiler writes one; where its address is that of no section, other readers of the file come to nothing.
        _ = image.ReadDebugDirectory();
    }

    // Addresses must mean one place only, whoever maps them: sections in order, apart from each other, inside the file.
    private void Sections()
    {
        long memory = 0, file = 0;
        foreach (var section in image.PEHeaders.SectionHeaders)
        {
            if (section.VirtualAddress < memory || section.PointerToRawData < file || section.SizeOfRawData < 0 || section.VirtualSize < 0
                || (long)section.PointerToRawData + section.SizeOfRawData > image.GetEntireImage().Length)
            {
                throw new BadImageFormatException("Its sections overlap or leave the file.");
            }

            memory = section.VirtualAddress + (long)Math.Max(section.VirtualSize, section.SizeOfRawData);
            file = section.PointerToRawData + (long)section.SizeOfRawData;
        }
    }

    // A stream that stands twice could be read here as one thing and by the runtime as another (ECMA-335, II.24.2.2).
    private void Streams()
    {
        var root = image.GetMetadata().GetReader();
        root.Offset = 12;
        int version = root.ReadInt32();
        if (version < 0 || version > root.RemainingBytes)
        {
            throw new BadImageFormatException("Its metadata has no streams.");
        }

        root.Offset += version + sizeof(ushort);
        var names = new HashSet<string>(StringComparer.Ordinal);
        for (int count = root.ReadUInt16(); count > 0; count--)
        {
            root.Offset += 2 * sizeof(uint);
            int length = root.IndexOf(0);
            string name = length is > 0 and <= 8 ? root.ReadUTF8(length) : "";
            if (name is not ("#~" or "#Strings" or "#US" or "#GUID" or "#Blob") || !names.Add(name))
            {
                throw new BadImageFormatException("Its metadata has a stream too many.");
            }

            root.Offset += 4 - (length % 4);
        }
    }

    private void Tables()
    {
        if (reader.MetadataKind != MetadataKind.Ecma335 || !reader.IsAssembly)
        {
            throw new BadImageFormatException("It is no assembly.");
        }

        for (int table = 0; table < MetadataTokens.TableCount; table++)
        {
            if (reader.GetTableRowCount((TableIndex)table) > 0 && !Permitted.Contains((TableIndex)table))
            {
                Find($"The compiled recipe holds metadata of kind {(TableIndex)table}.");
            }
        }

        var assembly = reader.GetAssemblyDefinition();
        if (Text(assembly.Name) != CheckedRecipe.AssemblyName || !assembly.PublicKey.IsNil || !assembly.Culture.IsNil)
        {
            Find($"The compiled recipe isn't named {CheckedRecipe.AssemblyName}.");
        }

        foreach (var handle in reader.AssemblyReferences)
        {
            string name = Text(reader.GetAssemblyReference(handle).Name);
            if (!list.Assemblies.Contains(name))
            {
                Find($"The compiled recipe refers to the assembly {name}.");
            }
        }
    }

    private void References()
    {
        foreach (var handle in reader.TypeReferences)
        {
            string id = "T:" + signatures.NameOf(handle);
            if (list.Of(id) == Use.Nobody)
            {
                Find(Forbidden(id), handle);
            }
        }

        for (int number = 1; number <= reader.GetTableRowCount(TableIndex.TypeSpec); number++)
        {
            var handle = MetadataTokens.TypeSpecificationHandle(number);
            row = handle;
            var (name, own) = signatures.Specification(reader.GetTypeSpecification(handle).Signature);
            constructed[number] = new ConstructedType(name, own);
        }

        row = default;

        foreach (var handle in reader.TypeDefinitions)
        {
            var type = reader.GetTypeDefinition(handle);
            foreach (var method in type.GetMethods())
            {
                Spend(0);
                var definition = reader.GetMethodDefinition(method);
                declared.Add(Declared(handle, definition.Name, definition.Signature));
            }

            foreach (var field in type.GetFields())
            {
                Spend(0);
                var definition = reader.GetFieldDefinition(field);
                declared.Add(Declared(handle, definition.Name, definition.Signature));
            }
        }

        foreach (var handle in reader.MemberReferences)
        {
            Member(handle);
        }
    }

    private void Member(MemberReferenceHandle handle)
    {
        var member = reader.GetMemberReference(handle);
        string name = Text(member.Name).Replace('.', '#');
        InRange(member.Parent);
        var (type, own) = member.Parent.Kind switch
        {
            HandleKind.TypeReference => (signatures.NameOf((TypeReferenceHandle)member.Parent), default),
            HandleKind.TypeDefinition => ("", (TypeDefinitionHandle)member.Parent),
            HandleKind.TypeSpecification when constructed[MetadataTokens.GetRowNumber(member.Parent)] is var known => (known.Name, known.Own),
            _ => throw new BadImageFormatException("A member belongs to no type."),
        };
        string id;
        if (member.GetKind() == MemberReferenceKind.Field)
        {
            signatures.Field(member.Signature);
            id = $"F:{type}.{name}";
        }
        else
        {
            var (parameters, returns, arity) = signatures.Method(member.Signature);
            string conversion = name is "op_Implicit" or "op_Explicit" ? "~" + returns : "";
            id = $"M:{type}.{name}{(arity == 0 ? "" : "``" + arity)}{parameters}{conversion}";
        }

        Spend(id.Length);
        if (!own.IsNil)
        {
            // The runtime would go on looking in the bases of a type of the recipe's own, and find Object.GetType there.
            if (!declared.Contains(Declared(own, member.Name, member.Signature)))
            {
                Find($"The compiled recipe uses {name} of a type of its own that doesn't declare it.", handle);
            }

            return;
        }

        if (type == "[,]" && name is "#ctor" or "Get" or "Set" or "Address")
        {
            return;
        }

        switch (list.Of(id))
        {
            case Use.Nobody:
                Find(Forbidden(id), handle);
                break;
            case Use.Details:
                details[MetadataTokens.GetRowNumber(handle)] = id;
                break;
        }
    }

    private void Signatures()
    {
        for (int number = 1; number <= reader.GetTableRowCount(TableIndex.MethodSpec); number++)
        {
            var handle = MetadataTokens.MethodSpecificationHandle(number);
            row = handle;
            var use = reader.GetMethodSpecification(handle);
            InRange(use.Method);
            signatures.MethodArguments(use.Signature);
        }

        row = default;
        for (int number = 1; number <= reader.GetTableRowCount(TableIndex.StandAloneSig); number++)
        {
            signatures.Locals(reader.GetStandaloneSignature(MetadataTokens.StandaloneSignatureHandle(number)).Signature);
        }

        foreach (var handle in reader.PropertyDefinitions)
        {
            signatures.Property(reader.GetPropertyDefinition(handle).Signature);
        }
    }

    private void Types()
    {
        var bodies = new BodyJudge(reader, this);
        var equality = new EqualityJudge(reader, this);
        int methods = 0, fields = 0, starts = 0;
        foreach (var handle in reader.TypeDefinitions)
        {
            var type = reader.GetTypeDefinition(handle);
            string name = Text(type.Name);
            if (!type.Namespace.IsNil)
            {
                Find($"The compiled recipe declares a type in the namespace {Text(type.Namespace)}.");
            }

            Layout(type, name);
            if (!equality.IsWhole(type))
            {
                Find($"The compiled recipe's type {name} states by itself what is equal.");
            }

            bool isDelegate = Named(type.BaseType, "System.MulticastDelegate");
            if (!isDelegate)
            {
                Inherited(type.BaseType, name);
            }

            bool isStart = Implements(type, name);
            if (isStart && ++starts > 1)
            {
                Find("The compiled recipe holds asynchronous code.");
            }

            // Rows of methods and fields belong to one type each, in order; anything else would hide some from this walk.
            foreach (var method in type.GetMethods())
            {
                Next(method, ref methods);
                Method(method, name, isDelegate, isStart, bodies);
                Equality(method, type, equality);
                at = null;
            }

            foreach (var field in type.GetFields())
            {
                Next(field, ref fields);
                Field(field, name);
            }
        }

        if (methods != reader.MethodDefinitions.Count || fields != reader.FieldDefinitions.Count)
        {
            throw new BadImageFormatException("A member belongs to no type.");
        }
    }

    // A script's carries its number at the end. C# can't spell such a name.
    private static bool IsDetails(string typeName) => typeName.StartsWith("<PrivateImplementationDetails>", StringComparison.Ordinal);

    private static void Next(EntityHandle handle, ref int count)
    {
        if (MetadataTokens.GetRowNumber(handle) != ++count)
        {
            throw new BadImageFormatException("A member belongs to two types.");
        }
    }

    private bool Named(EntityHandle handle, string name)
    {
        if (handle.IsNil)
        {
            return false;
        }

        InRange(handle);
        return handle.Kind == HandleKind.TypeReference && signatures.NameOf((TypeReferenceHandle)handle) == name;
    }

    // True for the state machine that a script's start is.
    private bool Implements(TypeDefinition type, string name)
    {
        bool isStart = false;
        foreach (var handedOn in type.GetInterfaceImplementations())
        {
            Spend(0);
            var implemented = reader.GetInterfaceImplementation(handedOn).Interface;
            bool isStateMachine = Named(implemented, "System.Runtime.CompilerServices.IAsyncStateMachine");
            isStart |= isStateMachine;
            if (!isStateMachine)
            {
                Inherited(implemented, name);
            }
        }

        return isStart;
    }

    private void Equality(MethodDefinitionHandle handle, TypeDefinition type, EqualityJudge equality)
    {
        var method = reader.GetMethodDefinition(handle);
        string name = Text(method.Name);
        if (EqualityJudge.Concerns(name)
            && (method.RelativeVirtualAddress == 0 || !equality.IsCompilers(type, name, image.GetMethodBody(method.RelativeVirtualAddress))))
        {
            Find($"The compiled recipe writes {name} by itself, which would tell it of hash codes.");
        }
    }

    // What only the compiler may name isn't there to be built upon, nor what would ask the recipe about hash codes, nor exceptions,
    // which would hand themselves to their own members.
    private void Inherited(EntityHandle from, string name)
    {
        if (from.IsNil)
        {
            return;
        }

        InRange(from);
        string? known = from.Kind switch
        {
            HandleKind.TypeReference => signatures.NameOf((TypeReferenceHandle)from),
            HandleKind.TypeSpecification => constructed[MetadataTokens.GetRowNumber(from)] is { Own.IsNil: true } type ? type.Name : null,
            _ => null,
        };
        if (known is not null && (list.Of("T:" + known) != Use.Recipe || EqualityJudge.Asks(known) || BodyJudge.IsException(known)))
        {
            Find($"The compiled recipe's type {name} is built upon {known}.");
        }
    }

    private void Layout(TypeDefinition type, string name)
    {
        // ComImport, HasSecurity and WindowsRuntime (ECMA-335, II.23.1.15): types that aren't plain code.
        const TypeAttributes Foreign = TypeAttributes.Import | TypeAttributes.HasSecurity | TypeAttributes.WindowsRuntime;
        if ((type.Attributes & Foreign) != 0)
        {
            Find($"The compiled recipe declares the type {name}, which isn't plain code.");
        }

        var layout = type.GetLayout();
        bool isData = name.StartsWith("__StaticArrayInitTypeSize=", StringComparison.Ordinal);
        bool isPlain = (type.Attributes & TypeAttributes.LayoutMask) != TypeAttributes.ExplicitLayout
            && layout.PackingSize == 0 && layout.Size <= 1;
        if (!isPlain && !(isData && type.GetFields().Count == 0))
        {
            Find($"The compiled recipe lays out the type {name} by hand.");
        }
    }

    private void Method(MethodDefinitionHandle handle, string typeName, bool isDelegate, bool isStart, BodyJudge bodies)
    {
        at = new Instruction(handle, 0);
        var method = reader.GetMethodDefinition(handle);
        string name = Text(method.Name);
        signatures.Method(method.Signature);
        const MethodImplAttributes Harmless = MethodImplAttributes.NoInlining | MethodImplAttributes.AggressiveInlining;
        var implementation = method.ImplAttributes & ~Harmless;
        bool isRuntime = isDelegate && implementation == MethodImplAttributes.Runtime;
        if (implementation != MethodImplAttributes.IL && !isRuntime
            || (method.Attributes & (MethodAttributes.PinvokeImpl | MethodAttributes.UnmanagedExport
                | MethodAttributes.HasSecurity | MethodAttributes.RequireSecObject)) != 0)
        {
            Find($"The compiled recipe declares {name}, which isn't plain code.");
        }

        if (name == "Finalize")
        {
            Find("The compiled recipe declares a finalizer.");
        }

        if (typeName == "<Module>" || name == ".cctor" && !typeName.StartsWith('<'))
        {
            Find(typeName == "<Module>" ? "The compiled recipe runs code when it is loaded." : "The compiled recipe has a static constructor.");
        }

        int address = method.RelativeVirtualAddress;
        if (address == 0)
        {
            if (!isRuntime && !method.Attributes.HasFlag(MethodAttributes.Abstract))
            {
                Find($"The compiled recipe declares {name} without code.");
            }

            return;
        }

        var place = new BodyPlace(IsDetails(typeName), isStart && name == "MoveNext", name == BodyJudge.HashCode);
        if (judged.Add(new JudgedBody(address, place)))
        {
            bodies.Judge(image.GetMethodBody(address), place);
        }
    }

    private void Field(FieldDefinitionHandle handle, string typeName)
    {
        var field = reader.GetFieldDefinition(handle);
        signatures.Field(field.Signature);
        bool isStatic = field.Attributes.HasFlag(FieldAttributes.Static) && !field.Attributes.HasFlag(FieldAttributes.Literal);
        if (isStatic && !typeName.StartsWith('<'))
        {
            Find($"The compiled recipe holds the static variable {Text(field.Name)}.");
        }

        if (field.Attributes.HasFlag(FieldAttributes.HasFieldRVA) && !IsDetails(typeName))
        {
            Find($"The compiled recipe maps the field {Text(field.Name)} onto raw data.");
        }

        if (field.Attributes.HasFlag(FieldAttributes.HasFieldRVA)
            && image.GetSectionData(field.GetRelativeVirtualAddress()).Length < signatures.SizeOf(field.Signature))
        {
            throw new BadImageFormatException("A field's data leaves the file.");
        }
    }

    private void Attributes()
    {
        foreach (var handle in reader.CustomAttributes)
        {
            var attribute = reader.GetCustomAttribute(handle);
            InRange(attribute.Constructor);
            if (attribute.Constructor.Kind != HandleKind.MemberReference)
            {
                Find("The compiled recipe declares an attribute of its own.");
                continue;
            }

            var parent = reader.GetMemberReference((MemberReferenceHandle)attribute.Constructor).Parent;
            if (parent.Kind != HandleKind.TypeReference)
            {
                Find("The compiled recipe declares an attribute of its own.");
            }

            if (Named(parent, "System.Runtime.CompilerServices.InlineArrayAttribute")
                && !(attribute.Parent.Kind == HandleKind.TypeDefinition
                    && Text(reader.GetTypeDefinition((TypeDefinitionHandle)attribute.Parent).Name).StartsWith("<>y__InlineArray", StringComparison.Ordinal)))
            {
                Find("The compiled recipe declares an inline array.");
            }
        }
    }

    private static DeclaredMember Declared(TypeDefinitionHandle type, StringHandle name, BlobHandle signature) =>
        new(MetadataTokens.GetRowNumber(type), MetadataTokens.GetHeapOffset(name), MetadataTokens.GetHeapOffset(signature));

    private sealed record ConstructedType(string Name, TypeDefinitionHandle Own);

    private sealed record DeclaredMember(int Type, int Name, int Signature);

    private sealed record JudgedBody(int Address, BodyPlace Place);
}
