# Completion of keepway for bash: the program itself knows what can follow.
_keepway() {
    local words candidate
    COMPREPLY=()
    # ':' and '=' part words for bash; the program takes them as typed.
    if declare -F _get_comp_words_by_ref >/dev/null; then
        local cur prev cword
        _get_comp_words_by_ref -n := cur prev words cword
        words=("${words[@]:1:cword}")
    else
        words=("${COMP_WORDS[@]:1:COMP_CWORD}")
    fi
    while IFS= read -r candidate; do
        case $candidate in
            */) compopt -o nospace ;;
        esac
        COMPREPLY+=("$(printf '%q' "$candidate")")
    done < <("${COMP_WORDS[0]}" complete "${words[@]}" 2>/dev/null)
}
complete -o default -F _keepway keepway
