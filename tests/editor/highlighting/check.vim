" The syntax file by Vim itself.
set nocompatible encoding=utf-8
syntax on
syntax clear
unlet! b:current_syntax
execute 'source ' . g:root . '/grammar/editors/kneemark.vim'
syntax sync fromstart
let s:classes = {'kneemarkRemark': 'comment', 'kneemarkKey': 'key', 'kneemarkNumber': 'number', 'kneemarkDigits': 'number',
  \ 'kneemarkUnit': 'unit', 'kneemarkSection': 'section', 'kneemarkWord': 'word', 'kneemarkDate': 'date',
  \ 'kneemarkTerminals': 'terminals', 'kneemarkColumn': 'column', 'kneemarkAside': 'aside', 'kneemarkOdd': 'odd'}
let s:wrong = []
let s:seen = 0
for s:row in readfile(g:root . '/tests/editor/highlighting/expected.txt')
  if s:row ==# '' || s:row[0] ==# '#'
    continue
  endif
  let [s:number, s:text, s:meant] = split(s:row, "\t")
  let s:from = stridx(getline(s:number), s:text)
  if s:from < 0
    call add(s:wrong, s:row . ': not in the line')
    continue
  endif
  for s:at in [s:from + 1, s:from + strlen(s:text)]
    let s:name = synIDattr(synID(s:number, s:at, 1), 'name')
    let s:found = get(s:classes, s:name, 'none')
    if s:found !=# s:meant
      call add(s:wrong, 'vim: line ' . s:number . ', ' . s:text . ': ' . s:found . ' (' . s:name . '), meant ' . s:meant)
    endif
  endfor
  let s:seen += 1
endfor
call writefile(s:wrong + (empty(s:wrong) ? ['vim: ' . s:seen . ' places'] : []), g:out)
if empty(s:wrong) && s:seen > 30
  qall!
endif
cquit
