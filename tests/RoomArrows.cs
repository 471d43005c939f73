using System.Reflection;
using System.Reflection.Emit;

namespace Recipes.Tests;

/// <summary>
/// Which rooms of an assembly refer to which: a room refers to a type where one of its types inherits it, holds it, or names it in a signature or in the
/// code of a method. Read from what the compiler wrote, so that no way of writing a name hides one.
/// </summary>
internal static class RoomArrows
{
    private static readonly Dictionary<short, OpCode> Codes = typeof(OpCodes).GetFields(BindingFlags.Public | BindingFlags.Static)
        .Select(field => (OpCode)field.GetValue(null)!).ToDictionary(code => code.Value);

    private const BindingFlags Own =
        BindingFlags.DeclaredOnly | BindingFlags.Public | BindingFlags.NonPublic | BindingFlags.Instance | BindingFlags.Static;

    /// <summary>Every arrow to a later room, as a sentence that names the two types.</summary>
    /// <param name="assembly">The assembly.</param>
    /// <param name="rooms">The rooms in their order; each may refer to those before it.</param>
    /// <param name="roomOf">The room that a type lies in.</param>
    public static IEnumerable<string> Wrong(Assembly assembly, string[] rooms, Func<Type, string> roomOf) =>
        from type in assembly.GetTypes()
        where !IsGenerated(type)
        let room = roomOf(type)
        from used in UsedBy(type).Where(used => used.Assembly == assembly && !IsGenerated(used)).Distinct()
        let other = roomOf(used)
        where IndexOf(rooms, other) > IndexOf(rooms, room)
        select $"{room} refers to {other}, which comes later: {type.FullName} uses {used.FullName}.";

    /// <summary>The rooms that an assembly's types lie in; empty for its root.</summary>
    /// <param name="assembly">The assembly.</param>
    /// <param name="roomOf">The room that a type lies in.</param>
    public static IEnumerable<string> Of(Assembly assembly, Func<Type, string> roomOf) =>
        assembly.GetTypes().Where(type => !IsGenerated(type)).Select(roomOf).Distinct();

    /// <summary>The last part of a type's namespace below the assembly's own name; empty for a type at its root.</summary>
    public static string Namespace(Type type)
    {
        string own = type.Assembly.GetName().Name!, space = type.Namespace ?? "";
        return space.StartsWith(own + ".", StringComparison.Ordinal) ? space[(own.Length + 1)..] : "";
    }

    // One without a place comes last: nothing may refer to it, and another test says that it has none.
    private static int IndexOf(string[] rooms, string room) => Array.IndexOf(rooms, room) is >= 0 and var place ? place : int.MaxValue;

    // What the compiler adds for itself lies in no room.
    private static bool IsGenerated(Type type) =>
        type.Namespace is null || !type.Namespace.StartsWith("Recipes", StringComparison.Ordinal) || (type.DeclaringType is { } outer && IsGenerated(outer));

    private static IEnumerable<Type> UsedBy(Type type) => (type.BaseType is { } parent ? Parts(parent) : [])
        .Concat(type.GetInterfaces().SelectMany(Parts))
        .Concat(type.GetFields(Own).SelectMany(field => Parts(field.FieldType)))
        .Concat(type.GetMethods(Own).Cast<MethodBase>().Concat(type.GetConstructors(Own)).SelectMany(UsedBy));

    private static IEnumerable<Type> UsedBy(MethodBase method) => method.GetParameters().Select(parameter => parameter.ParameterType)
        .Append((method as MethodInfo)?.ReturnType ?? typeof(void))
        .Concat(method.GetMethodBody() is { } body
            ? body.LocalVariables.Select(local => local.LocalType).Concat(UsedBy(method, body.GetILAsByteArray()!)) : [])
        .SelectMany(Parts);

    private static IEnumerable<Type> UsedBy(MethodBase method, byte[] code)
    {
        Type[] ofType = method.DeclaringType is { IsGenericType: true } generic ? generic.GetGenericArguments() : [];
        Type[] ofMethod = method.IsGenericMethod ? method.GetGenericArguments() : [];
        for (int at = 0; at < code.Length;)
        {
            short value = code[at++];
            var operation = Codes[value == 0xFE ? (short)((0xFE << 8) | code[at++]) : value];
            int operand = at;
            at += operation.OperandType switch
            {
                OperandType.InlineNone => 0,
                OperandType.ShortInlineBrTarget or OperandType.ShortInlineI or OperandType.ShortInlineVar => 1,
                OperandType.InlineVar => 2,
                OperandType.InlineI8 or OperandType.InlineR => 8,
                OperandType.InlineSwitch => 4 + (4 * BitConverter.ToInt32(code, operand)),
                _ => 4,
            };
            if (operation.OperandType is OperandType.InlineField or OperandType.InlineMethod or OperandType.InlineTok or OperandType.InlineType)
            {
                foreach (var used in Named(method.Module.ResolveMember(BitConverter.ToInt32(code, operand), ofType, ofMethod)!))
                {
                    yield return used;
                }
            }
        }
    }

    private static IEnumerable<Type> Named(MemberInfo member) => member switch
    {
        Type type => [type],
        MethodInfo { IsGenericMethod: true } method => method.GetGenericArguments().Append(method.DeclaringType!),
        _ => member.DeclaringType is { } owner ? [owner] : [],
    };

    private static IEnumerable<Type> Parts(Type type) =>
        type.HasElementType ? Parts(type.GetElementType()!)
        : type.IsGenericType ? type.GetGenericArguments().SelectMany(Parts).Append(type.GetGenericTypeDefinition())
        : [type];
}
